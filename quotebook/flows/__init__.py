"""The flows: each module is one command's story over the layers below."""
