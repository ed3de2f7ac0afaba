"""The extension's component: it receives a command of the menu and hands it over, nothing else.

This file and the folder beside it run in the spreadsheet program's own Python and import nothing of quotebook.
"""

from __future__ import annotations

from typing import Any

import unohelper
from com.sun.star.frame import XDispatch, XDispatchProvider
from com.sun.star.lang import XInitialization, XServiceInfo
from quotebook_shell import commands

IMPLEMENTATION = "vnd.quotebook.shell.Handler"
SERVICE = "com.sun.star.frame.ProtocolHandler"


class Handler(unohelper.Base, XServiceInfo, XInitialization, XDispatchProvider, XDispatch):  # type: ignore[misc]
    """Answers the protocol ``vnd.quotebook.shell:``."""

    def __init__(self, context: Any, *_arguments: Any) -> None:
        self.context = context
        self.frame: Any = None

    def initialize(self, arguments: Any) -> None:
        """Keep the window that the handler was made for."""
        self.frame = arguments[0] if arguments else None

    def queryDispatch(self, url: Any, _target: str, _flags: int) -> Any:
        """Return this object for a command of ours."""
        return self if url.Protocol == commands.PROTOCOL else None

    def queryDispatches(self, requests: Any) -> Any:
        """Return one answer for each request."""
        return tuple(self.queryDispatch(one.FeatureURL, one.FrameName, one.SearchFlags) for one in requests)

    def dispatch(self, url: Any, arguments: Any) -> None:
        """Carry out a command; nothing is raised, for the program would swallow it."""
        commands.run(self.context, self.frame, url.Path, {one.Name: one.Value for one in arguments})

    def addStatusListener(self, _listener: Any, _url: Any) -> None:
        """Do nothing: the commands are always there."""

    def removeStatusListener(self, _listener: Any, _url: Any) -> None:
        """Do nothing."""

    def getImplementationName(self) -> str:
        """Return the name under which the component is registered."""
        return IMPLEMENTATION

    def supportsService(self, name: str) -> bool:
        """Tell whether it is a handler of protocols."""
        return name == SERVICE

    def getSupportedServiceNames(self) -> Any:
        """Return what it is."""
        return (SERVICE,)


g_ImplementationHelper = unohelper.ImplementationHelper()
g_ImplementationHelper.addImplementation(Handler, IMPLEMENTATION, (SERVICE,))
