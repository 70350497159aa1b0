"""DXF in, R12 to R2018, ASCII and binary, through ezdxf; the only place that knows ezdxf."""

from cutpath.intake.dxf.reading import read_dxf

__all__ = ["read_dxf"]
