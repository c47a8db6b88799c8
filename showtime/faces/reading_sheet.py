"""The script as a sheet to print and read from: A4, large letters, nothing to look up."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

_SHEET = """
#let sheet = json(bytes(sys.inputs.sheet))
#set document(title: sheet.title)
#set page(
  paper: "a4",
  margin: (x: 16mm, top: 16mm, bottom: 18mm),
  footer: context [
    #set text(9pt, fill: luma(35%))
    #sheet.title #h(1fr) #counter(page).display("1 / 1", both: true)
  ],
)
#set text(13pt, lang: sheet.language, font: "Libertinus Serif")
#set par(leading: 0.5em)
#show heading.where(level: 1): set text(20pt)
#show heading.where(level: 2): it => block(
  above: 1.2em, below: 0.7em, sticky: true, text(14pt, it.body),
)
= #sheet.title
#text(12pt)[#sheet.summary]
#block(
  stroke: 0.6pt + luma(40%), inset: 3mm, radius: 1mm, width: 100%,
  text(11pt, list(..sheet.how)),
)
#columns(2, gutter: 8mm)[
  #for group in sheet.groups [
    == #group.title
    #for (number, line) in group.lines {
      block(above: 0.62em, below: 0pt, breakable: false, grid(
        columns: (9mm, 1fr), column-gutter: 2mm,
        align(right, text(9pt, fill: luma(40%), number)), line,
      ))
    }
  ]
]
"""


def printed(
    document: dict[str, Any], how: Sequence[str], groups: Sequence[dict[str, Any]]
) -> bytes:
    """The script document as a PDF: its groups, and above them how to read."""
    import typst

    sheet = {
        "title": f"What to read for {document['stall']}",
        "language": document["language"],
        "summary": (
            f"{len(document['fragments'])} lines, about {document['minutes']:.0f} minutes."
        ),
        "how": list(how),
        "groups": list(groups),
    }
    made = typst.compile(
        _SHEET.encode(),
        format="pdf",
        ignore_system_fonts=True,
        sys_inputs={"sheet": json.dumps(sheet, ensure_ascii=False)},
    )
    assert isinstance(made, bytes)
    return made
