"""What a profile says, in plain words for the one who stands at the machine."""

from __future__ import annotations

import math
from collections.abc import Iterator

from cutpath.settings.profile_check import smallest_step
from cutpath.settings.profile_link import Link, Way
from cutpath.settings.profile_schema import Language, Profile
from cutpath.settings.tool_words import tool_lines

Part = tuple[str, tuple[str, ...]]


def profile_words(profile: Profile) -> Iterator[Part]:
    """Give the parts of what ``profile`` says: a heading, and sentences."""
    yield "Machine", tuple(_machine(profile))
    yield "Bed", tuple(_bed(profile))
    yield "Cloth", tuple(_cloth(profile))
    yield "Motion", tuple(_motion(profile))
    yield "Order", tuple(_order(profile))
    for name, tool in profile.tools.items():
        yield f"Tool {tool.number}, {name}", tuple(tool_lines(tool, profile))
    yield "Its own faults", tuple(_compensation(profile))
    yield "Files", tuple(_files(profile))
    yield "Link", tuple(_link(profile.link))
    yield "Cautions", profile.cautions


def kind_words(profile: Profile) -> str:
    """Give the class of machine in a word or two; the language where it says none."""
    return profile.kind or f"spoken to in {profile.language}"


def _machine(profile: Profile) -> Iterator[str]:
    kind = f": {profile.kind}" if profile.kind else ""
    yield f"{profile.name}{kind}."
    yield f"Spoken to in {profile.language}, in steps of {smallest_step(profile):g} mm."


def _bed(profile: Profile) -> Iterator[str]:
    bed = profile.bed
    yield (
        f"It reaches {bed.width:g} mm to the right and {bed.height:g} mm away, and counts from "
        f"{bed.origin}: +x goes {bed.x}, +y goes {bed.y}."
    )
    yield f"A margin of {bed.margin:g} mm is kept free of pieces."


def _cloth(profile: Profile) -> Iterator[str]:
    bed, how = profile.bed, profile.advance
    way = "to the right" if bed.runs_right else "away from the operator"
    yield f"Cloth runs {way}."
    if bed.continues:
        yield (
            f"A piece longer than the bed is cut in parts that overlap by {bed.overlap:g} mm, the "
            "cloth moved on between them."
        )
    if how is None:
        yield "Cloth is moved by hand: each bedful is a file of its own."
        return
    yield (
        f"The machine moves the cloth on by itself, at {how.speed:g} mm/s, and waits "
        f"{how.settle_time:g} s: one file cuts the whole lay, frame by frame."
    )
    most = f", {how.longest:g} mm at most at a time" if how.longest else ""
    yield f"It is told {' / '.join(how.lines)}{most}; {how.tolerance:g} mm off fails the proof."


def _motion(profile: Profile) -> Iterator[str]:
    motion = profile.motion
    yield (
        f"It travels at {motion.travel_speed:g} mm/s, gathers speed at {motion.acceleration:g} "
        f"mm/s², and passes a corner {motion.corner_deviation:g} mm off without a stop."
    )
    if profile.output.tool_change or profile.language is not Language.RS274:
        yield f"A change of tools takes {motion.tool_change_time:g} s."
    if any(tool.depth is None or tool.lower for tool in profile.tools.values()):
        yield f"It lowers a tool in {motion.lower_time:g} s and lifts it in {motion.lift_time:g} s."
    if motion.turning_axis:
        yield (
            f"Axis {motion.turning_axis} turns blades, in degrees from +x, at "
            f"{motion.turn_speed:g} a second and {math.degrees(motion.turn_range):g}° at most to "
            "either side."
        )
    if motion.feed_by_radius:
        yield "It does not slow on tight curves by itself: the file tells lower speeds there."


def _order(profile: Profile) -> Iterator[str]:
    order = profile.order
    before = {
        "all cuts": "before every cut",
        "own cuts": "before the cuts of its piece",
        "own outline": "before the outline of its piece",
    }[order.marks_before]
    yield f"What is drawn or drilled comes {before}."
    if order.begin is not None:
        back = " and goes back there in the end" if order.returns else ""
        yield f"The head begins at {_place(order.begin)}{back}."
    if order.rest is not None:
        yield f"It waits at {_place(order.rest)}."
    if order.held_side is not None:
        yield f"Cloth is held best on the side {order.held_side}: outlines far from it come first."


def _place(xy: tuple[float, float]) -> str:
    return f"{xy[0]:g}, {xy[1]:g} mm from the bed's near left corner"


def _compensation(profile: Profile) -> Iterator[str]:
    said = profile.compensation
    for axis, scale in (("x", said.x_scale), ("y", said.y_scale)):
        if scale != 1.0:
            yield f"Told a metre along {axis}, it goes {scale * 1000:.2f} mm: files set that right."
    if said.skew:
        way = "towards" if said.skew > 0 else "away from"
        angle, slant = abs(math.degrees(said.skew)), abs(math.sin(said.skew)) * 1000
        yield (
            f"+y leans {way} +x by {angle:.3f}°, {slant:.2f} mm in a metre: files set that right."
        )
    for axis, play in (("x", said.x_backlash), ("y", said.y_backlash)):
        if play:
            yield (
                f"Where {axis} turns back, {play:g} mm are lost to play: files take that up with "
                "the tool standing still."
            )
    if said.advance_scale != 1.0:
        yield f"Told to advance a metre, the cloth goes {said.advance_scale * 1000:.2f} mm."


def _files(profile: Profile) -> Iterator[str]:
    output = profile.output
    curves = "arcs are sent as arcs" if output.arcs else "curves are sent as chords"
    stray = output.fit_tolerance + output.chord_tolerance
    yield f"In files (…{profile.file_suffix}) {curves} that stray {stray:g} mm at most."
    yield f"Lines have at most {output.longest_line} characters."
    if profile.language is Language.RS274:
        unit = "inches" if output.units == "in" else "millimetres"
        yield f"Its numbers count {unit}, with {output.decimals} decimals."
        yield (
            f"It begins with the modes {output.modes}, waits by {output.dwell} and ends with "
            f"{output.finish}."
        )
        if any(not tool.lower for tool in profile.tools.values()):
            yield f"Tools travel {output.travel_height:g} mm above the cloth."
        yield "Comments may stand in it." if output.comments else "No comments stand in it."
        return
    end = output.largest_number / output.units_per_mm
    yield f"{output.units_per_mm:g} units are a millimetre; it counts to {end:.0f} mm."


def _link(link: Link) -> Iterator[str]:
    flow = {
        "plain": "nothing tells when it can take no more",
        "xon-xoff": "it says stop and go by two bytes",
        "hardware": "the port's own lines (RTS and CTS) say stop and go",
        "enquire": f"{link.block} bytes go out when it grants them",
        "buffer space": f"it is asked how much its {link.buffer} bytes have left",
        "line reply": f"it answers each line, and holds {link.buffer} bytes of them",
    }[link.flow.value]
    if link.way is Way.FOLDER:
        yield f"Files are put into {link.folder or 'a folder that is not named yet'}."
        return
    if link.way is Way.TCP:
        yield f"Files are sent to {link.address}; {flow}."
        return
    yield (
        f"Files are sent over the serial port {link.port}, {link.baud} bits a second, {link.bits} "
        f"bits, parity {link.parity}, {link.stop_bits} stop; {flow}."
    )
