"""What opens a bar in MusicXML: key, metre, clefs, the tab's strings; repeats and barlines."""

from __future__ import annotations

from fractions import Fraction

from lxml import etree

from gripwright.beats import Metre, default_groups
from gripwright.formats.rhythm import VALUES
from gripwright.lesson.model import Bar, Lesson
from gripwright.lesson.swing import STRAIGHT
from gripwright.neck.tuning import Neck
from gripwright.theory.pitch import LETTERS, simple_note, spell_midi
from gripwright.theory.scale import Key


def sub(parent: etree._Element, tag: str, text: object = None, **attributes: str) -> etree._Element:
    """Append an element with a text; underscores of attribute names become hyphens."""
    names = {name.replace("_", "-"): value for name, value in attributes.items()}
    element = etree.SubElement(parent, tag, names)
    if text is not None:
        element.text = str(text)
    return element


def first_attributes(
    measure: etree._Element, divisions: int, key: Key, metre: Metre, neck: Neck
) -> None:
    """Append the attributes of the first bar: notation above, tab below."""
    attributes = sub(measure, "attributes")
    sub(attributes, "divisions", divisions)
    _key(attributes, key)
    _time(attributes, metre)
    sub(attributes, "staves", 2)
    sub(attributes, "part-symbol", "bracket")
    clef = sub(attributes, "clef", number="1")
    sub(clef, "sign", "G")
    sub(clef, "line", 2)
    sub(clef, "clef-octave-change", -1)
    tab = sub(attributes, "clef", number="2")
    sub(tab, "sign", "TAB")
    sub(tab, "line", (len(neck) + 1) // 2 + 1)
    _strings(attributes, neck)


def changed_attributes(
    measure: etree._Element, key: tuple[Key, Key], metre: tuple[Metre, Metre]
) -> None:
    """Append a change of key or metre, (before, now); nothing where neither changed."""
    new_key = key[0] != key[1]
    if not new_key and metre[0] == metre[1]:
        return
    attributes = sub(measure, "attributes")
    if new_key:
        _key(attributes, key[1])
    if metre[0] != metre[1]:
        _time(attributes, metre[1])


def _key(attributes: etree._Element, key: Key) -> None:
    element = sub(attributes, "key")
    sub(element, "fifths", key.fifths)
    sub(element, "mode", key.mode)


def _time(attributes: etree._Element, metre: Metre) -> None:
    """Append the metre, shown on the notation and hidden on the tab."""
    plain = metre.groups == default_groups(metre.count, metre.unit)
    beats = str(metre.count) if plain else "+".join(map(str, metre.groups))
    for number, more in (("1", {}), ("2", {"print_object": "no"})):
        time = sub(attributes, "time", number=number, **more)
        sub(time, "beats", beats)
        sub(time, "beat-type", metre.unit)


def _strings(attributes: etree._Element, neck: Neck) -> None:
    """Append the tab's lines with their tuning, line 1 the lowest, and a full capo.

    A partial capo has no element: its strings are given as they sound open.
    """
    details = sub(attributes, "staff-details", number="2")
    sub(details, "staff-lines", len(neck))
    for line, (pitch, stop) in enumerate(zip(neck.tuning.strings, neck.stops, strict=True), 1):
        if neck.capo is None and stop:
            midi = pitch.midi + stop
            pitch = spell_midi(midi, simple_note(midi % 12))
        tuning = sub(details, "staff-tuning", line=str(line))
        sub(tuning, "tuning-step", LETTERS[pitch.note.step])
        if pitch.note.alter:
            sub(tuning, "tuning-alter", pitch.note.alter)
        sub(tuning, "tuning-octave", pitch.octave)
    if neck.capo:
        sub(details, "capo", neck.capo)


def left_barline(measure: etree._Element, bar: Bar, before: Bar | None) -> None:
    """Append what a bar opens with: a repeat, an ending."""
    opens = bool(bar.endings) and (before is None or before.endings != bar.endings)
    if not bar.repeat_start and not opens:
        return
    line = sub(measure, "barline", location="left")
    if bar.repeat_start:
        sub(line, "bar-style", "heavy-light")
    if opens:
        sub(line, "ending", _ending_text(bar), number=_ending_number(bar), type="start")
    if bar.repeat_start:
        sub(line, "repeat", direction="forward")


def right_barline(measure: etree._Element, bar: Bar, after: Bar | None, *, last: bool) -> None:
    """Append what a bar closes with: an ending, a repeat, the end of a part or of the song.

    ``after`` is the next bar of the part, None at its end; ``last`` is the end of the score.
    """
    closes = bool(bar.endings) and (after is None or after.endings != bar.endings)
    repeats = bar.repeat_times > 1
    if not closes and not repeats and after is not None:
        return
    line = sub(measure, "barline", location="right")
    if repeats or last:
        sub(line, "bar-style", "light-heavy")
    elif after is None:
        sub(line, "bar-style", "light-light")
    if closes:
        how = "stop" if repeats else "discontinue"
        sub(line, "ending", number=_ending_number(bar), type=how)
    if repeats:
        more = {"times": str(bar.repeat_times)} if bar.repeat_times > 2 else {}
        sub(line, "repeat", direction="backward", **more)


def _ending_number(bar: Bar) -> str:
    return ",".join(map(str, bar.endings))


def _ending_text(bar: Bar) -> str:
    return " ".join(f"{number}." for number in bar.endings)


def opening_words(measure: etree._Element, lesson: Lesson) -> None:
    """Append tempo and swing above the first bar."""
    beat = lesson.metre.beats[0]
    if beat not in VALUES:
        beat = Fraction(1)
    name, dots = VALUES[beat]
    a_minute = lesson.tempo_bpm * lesson.metre.beats[0] / beat
    direction = sub(measure, "direction", placement="above")
    metronome = sub(sub(direction, "direction-type"), "metronome")
    sub(metronome, "beat-unit", name)
    for _ in range(dots):
        sub(metronome, "beat-unit-dot")
    sub(metronome, "per-minute", _decimal(a_minute))
    sub(direction, "staff", 1)
    sound = sub(direction, "sound", tempo=_decimal(a_minute * beat))
    if lesson.swing != STRAIGHT:
        share = lesson.swing / (1 - lesson.swing)
        swing = sub(sound, "swing")
        sub(swing, "first", share.numerator)
        sub(swing, "second", share.denominator)
        words(measure, f"swing {share.numerator}:{share.denominator}")


def words(measure: etree._Element, text: str, staff: int = 1) -> None:
    """Append words above a staff."""
    direction = sub(measure, "direction", placement="above")
    sub(sub(direction, "direction-type"), "words", text)
    sub(direction, "staff", staff)


def _decimal(value: Fraction) -> str:
    return f"{float(value):.3f}".rstrip("0").rstrip(".")
