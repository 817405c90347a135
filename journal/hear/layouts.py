"""Which files make a speech model: Vosk's two layouts, and whisper's for CTranslate2."""

from __future__ import annotations

from pathlib import Path

VOSK, WHISPER = "vosk", "whisper"

# What is read, as paths below the model's folder; one of each tuple has to be there.
_NESTED = (
    ("am/final.mdl",),
    ("conf/mfcc.conf",),
    ("conf/model.conf",),
    ("graph/HCLG.fst", "graph/HCLr.fst"),
    ("graph/words.txt", "graph/HCLG.fst", "graph/Gr.fst"),
    ("graph/phones/word_boundary.int",),
)
_FLAT = (
    ("final.mdl",),
    ("mfcc.conf",),
    ("HCLG.fst", "HCLr.fst"),
    ("words.txt", "HCLG.fst", "Gr.fst"),
    ("word_boundary.int",),
)
_LOOK_AHEAD = ("Gr.fst", "disambig_tid.int")  # beside HCLr.fst
_IVECTOR = ("final.dubm", "final.ie", "final.mat", "global_cmvn.stats", "online_cmvn.conf", "splice.conf")
# Without tokenizer.json faster-whisper would ask for it on the network.
_WHISPER = (("model.bin",), ("config.json",), ("tokenizer.json",), ("vocabulary.txt", "vocabulary.json"))

_MARKS = {"model.bin": WHISPER, "am": VOSK, "final.mdl": VOSK}


def kind_of(path: Path) -> str | None:
    """Return 'vosk' or 'whisper' by what lies in a folder, ``None`` when it is neither; it may still be incomplete."""
    return next((kind for mark, kind in _MARKS.items() if (path / mark).exists()), None)


def missing_from(path: Path) -> str | None:
    """Return what a model's folder lacks or has empty ('am/final.mdl', 'a or b'); ``None`` when it is complete."""
    for names in _wanted(path):
        if not any((path / name).is_file() and (path / name).stat().st_size for name in names):
            return " or ".join(names)
    return None


def _wanted(path: Path) -> list[tuple[str, ...]]:
    if kind_of(path) == WHISPER:
        return list(_WHISPER)
    nested = (path / "am").is_dir()
    wanted: list[tuple[str, ...]] = list(_NESTED if nested else _FLAT)
    graph = "graph/" if nested else ""
    if (path / f"{graph}HCLr.fst").is_file() and not (path / f"{graph}HCLG.fst").is_file():
        wanted += [(graph + name,) for name in _LOOK_AHEAD]
    if (path / "ivector").is_dir():
        wanted += [(f"ivector/{name}",) for name in _IVECTOR]
    return wanted
