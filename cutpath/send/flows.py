"""The table of flows."""

from __future__ import annotations

from cutpath.send.buffer_space import BufferSpace
from cutpath.send.flow import Enquire, Flow, XonXoff
from cutpath.send.line_reply import LineReply
from cutpath.settings.profile import Flow as FlowName, Link, Way

FLOWS: dict[FlowName, type[Flow]] = {
    FlowName.PLAIN: Flow,
    FlowName.HARDWARE: Flow,
    FlowName.XON_XOFF: XonXoff,
    FlowName.ENQUIRE: Enquire,
    FlowName.SPACE: BufferSpace,
    FlowName.LINE_REPLY: LineReply,
}


def flow_of(link: Link, start: int = 0) -> Flow:
    """Give the flow that ``link`` asks for, counting from byte ``start``; a folder has none."""
    if link.way is Way.FOLDER:
        return Flow(link, start)
    return FLOWS[link.flow](link, start)
