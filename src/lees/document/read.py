"""A file's bytes to a proposed report: the one way through the room."""

from __future__ import annotations

from lees.document.readers import Ocr, reader_for
from lees.document.records import Report
from lees.document.understand import understand


def read_bytes(data: bytes, ocr: Ocr | None = None) -> Report:
    r"""Return the results that a laboratory's report proposes.

    Parameters
    ----------
    data : bytes
        The file as it came.
    ocr : callable, optional
        What recognises the words of an upright picture; without it pictures cannot be read.

    Returns
    -------
    Report
        Samples with their results; empty, with a warning, where nothing was found.

    Raises
    ------
    NotReadable
        For a file that is empty, broken, locked, or of no kind known here.

    Examples
    --------
    >>> report = read_bytes(b"test,value,unit\nIron,12,ppm\nCopper,4,ppm\nLead,<1,ppm\n")
    >>> report.samples[0].results["Fe"].value, report.samples[0].results["Pb"].qualifier
    (12.0, '<')
    """
    return understand(reader_for(data).read(data, ocr))
