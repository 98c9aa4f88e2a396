"""Solids leave as STEP with their names, for other modellers; the same bytes each time."""

import contextlib
import re
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from fitcheck.errors import ModelError
from fitcheck.workspace.atomic import write_whole

FIXED_TIME = "2000-01-01T00:00:00"
"""Stands in the header for the time of writing, which would change the bytes."""


def encode(solids: Mapping[str, Any], title: str) -> bytes:
    """One file with all the cadquery solids as named parts, in place.

    Raises ``ModelError`` when the modeller cannot write them.
    """
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.Interface import Interface_Static
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_StepModelType

    with silent(), tempfile.TemporaryDirectory() as folder:
        document = _document(solids)
        writer = STEPCAFControl_Writer()
        writer.SetNameMode(True)
        Interface_Static.SetCVal_s("write.step.unit", "MM")
        writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs)
        _set_header(writer.ChangeWriter().Model(), title)
        path = Path(folder) / "out.step"
        if writer.Write(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
            raise ModelError(f"{title}: the modeller could not write it as STEP")
        return _coded(path.read_bytes())


def write(solids: Mapping[str, Any], path: Path, title: str = "solids") -> None:
    """Write the file whole or not at all."""
    write_whole(path, encode(solids, title))


def _document(solids: Mapping[str, Any]) -> Any:
    """The modeller's document: each solid a part of its own, in place, under its name."""
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    parts = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    for name, solid in solids.items():
        label = parts.AddShape(_settled(solid.wrapped), False)
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))
    return document


def _settled(shape: Any) -> Any:
    """The shape with its place worked into its geometry: a placed shape would be written as an
    assembly, which the writer numbers through the life of the program."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.TopLoc import TopLoc_Location

    place = shape.Location().Transformation()
    return BRepBuilderAPI_Transform(shape.Located(TopLoc_Location()), place, True).Shape()


NOISE = re.compile(r"(?<!\d)-?\d++\.\d*E-(?:1[5-9]|[2-9]\d)")
"""Numbers that are nothing but the modeller's rounding, which changes from run to run."""
MINUS_NOTHING = re.compile(r"(?<![\w.])-0\.(?=[,)])")


def _coded(data: bytes) -> bytes:
    """Letters beyond ASCII in the code that ISO 10303-21 has for them, numbers without noise."""

    def code(found: re.Match[str]) -> str:
        return f"\\X4\\{found[0].encode('utf-32-be').hex().upper()}\\X0\\"

    text = MINUS_NOTHING.sub("0.", NOISE.sub("0.", data.decode("utf-8")))
    return re.sub(r"[^\x00-\x7f]+", code, text).encode("ascii")


def _set_header(model: Any, title: str) -> None:
    from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
    from OCP.TCollection import TCollection_HAsciiString

    header = APIHeaderSection_MakeHeader(model)
    header.SetName(TCollection_HAsciiString(title.encode("ascii", "replace").decode()))
    header.SetTimeStamp(TCollection_HAsciiString(FIXED_TIME))
    header.SetAuthorValue(1, TCollection_HAsciiString(""))
    header.SetOriginatingSystem(TCollection_HAsciiString("fitcheck"))
    header.Apply(model)


@contextlib.contextmanager
def silent() -> Iterator[None]:
    """Some of the modeller's versions chatter on standard output, which belongs to the report."""
    from OCP.Message import Message

    messenger = Message.DefaultMessenger_s()
    printers = list(messenger.Printers())
    for printer in printers:
        messenger.RemovePrinter(printer)
    try:
        yield
    finally:
        for printer in printers:
            messenger.AddPrinter(printer)
