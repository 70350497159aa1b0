"""The page: markup, style and script of our own with the scene inside."""

from __future__ import annotations

import html
from importlib.resources import files

from cutpath.look.encoding import scene_json
from cutpath.look.scene import Scene


def page_of(scene: Scene) -> str:
    """Give the page as HTML text, the same for the same scene."""
    assets = files("cutpath.look").joinpath("assets")
    page = assets.joinpath("look.html").read_text(encoding="utf-8")
    parts = {
        "<!--title-->": html.escape(scene.title),
        "/*style*/": assets.joinpath("look.css").read_text(encoding="utf-8"),
        "/*script*/": assets.joinpath("look.js").read_text(encoding="utf-8"),
        "/*scene*/": scene_json(scene),
    }
    for mark, text in parts.items():
        page = page.replace(mark, text)
    return page
