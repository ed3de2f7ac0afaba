"""The shop profile and the job as checked data; knows no prices and no workbooks."""
