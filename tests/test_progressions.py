"""Progressions as a theory teacher hears them: what must be said of each, and what must not.

Sources, from memory: cadential and passing six-fours, the Neapolitan, the augmented sixths, the
Phrygian half close and common-tone diminished sevenths are in any handbook of tonal harmony
(Aldwell and Schachter, *Harmony and Voice Leading*); the double plagal and the flat six, flat
seven, one in N. Biamonte, *Triadic Modal and Pentatonic Patterns in Rock Music*, Music Theory
Spectrum 32 (2010). All else is common practice, no source. A key in brackets is given; without
one it has to be found.
"""

from __future__ import annotations

import pytest

from gripwright.harmony.explain import Explanation, explain
from gripwright.theory.scale import parse_key
from gripwright.theory.symbol import parse_symbol

# Changes with [key]; what is told, at the chord's index from 0; what is told nowhere.
TABLE = """
Dm7 G7 Cmaj7 | 0 two-five-one | borrowed secondary-dominant turnaround
Dm7b5 G7(b9) Cm6 [C minor] | 0 two-five-one, 2 variable-degree | borrowed altered-dominant
Dm7b5 G7alt Cm(maj7) [C minor] | 0 two-five-one, 1 altered-dominant | borrowed
Dm7b5 G7(b9) Cmaj7 [C major] | 0 borrowed, 0 two-five-one, 1 altered-dominant | picardy
Em7 A7 Dm7 G7 Cmaj7 [C major] | 0 turnaround, 1 secondary-dominant | circle deceptive
Cmaj7 A7 Dm7 G7 Cmaj7 [C major] | 0 turnaround, 1 secondary-dominant | dominant-chain
Cmaj7 Eb7 D7 Db7 Cmaj7 [C major] | 1 dominant-chain, 1 tritone-substitute | parallel borrowed
Cmaj7 Ebmaj7 Abmaj7 Dbmaj7 Cmaj7 [C major] | 0 turnaround, 0 constant-structure | parallel
C E7 A7 D7 G7 C [C major] | 1 dominant-chain, 1 secondary-dominant | turnaround parallel
Cmaj7 Fm7 Bb7 Cmaj7 [C major] | 1 borrowed, 2 backdoor | two-five-unresolved secondary-dominant
Dm7 Db7 Cmaj7 [C major] | 0 two-sub-one, 1 tritone-substitute | borrowed neapolitan
Em7 Eb7 Dm7 Db7 Cmaj7 [C major] | 0 turnaround, 1 tritone-substitute | parallel
Dm7 Abm7 Db7 Cmaj7 [C major] | 1 two-five-unresolved, 2 tritone-substitute | borrowed
C Am7 D7 Dm7 G7 C [C major] | 1 two-five-unresolved, 3 two-five-one | borrowed
Bmaj7 D7 Gmaj7 Bb7 Ebmaj7 F#7 Bmaj7 [B major] | 0 thirds-cycle, 1 secondary-dominant | borrowed
C E Ab C [C major] | 0 thirds-cycle | chromatic-mediant borrowed secondary-dominant
Cmaj7 Ebmaj7 Gbmaj7 Amaj7 Cmaj7 [C major] | 0 parallel | chromatic-mediant borrowed
Dmaj7 Cmaj7 Bbmaj7 Abmaj7 [D major] | 0 parallel | borrowed chromatic-mediant
Cmaj7 Abmaj7 Bmaj7 Dmaj7 Dbmaj7 Cmaj7 [C major] | 0 constant-structure | borrowed
Dm7 Ebm7 Dm7 [D dorian] | 1 side-step | borrowed parallel
Am Am(maj7) Am7 Am6 [A minor] | 0 line | borrowed pedal bass-line
Am Am(b6) Am6 Am7 [A minor] | 0 line | borrowed
Am F/A Am6 Am7 Dm [A minor] | 0 line | pedal borrowed
C C+ Am/C C7 F [C major] | 0 line, 3 secondary-dominant | pedal borrowed
Am F/A Dm/A Am [A minor] | 0 pedal | line line-through
Am Am(maj7) Am7 Am6 Fmaj7 E7 [A minor] | 0 line | line-through variable-degree
C Gm7 Gb7 Fmaj7 G7 C [C major] | 1 two-sub-one, 2 tritone-substitute | borrowed
C Gm7b5 Gb7 Fm7 C [C major] | 1 two-sub-one | two-five-unresolved
E5 G5 Bb5 A5 E5 [E minor] | 3 plagal | parallel constant-structure chromatic-mediant
Cmaj7 Fmaj7 Ebmaj7 Abmaj7 Dbmaj7 Gmaj7 [C major] | 0 constant-structure | neapolitan
Bm F#/A# A E/G# G D/F# Em [B minor] | 0 lament | bass-line borrowed
Gmaj7 Cmaj7 Cm7 F7 Bm7 Em7 [G major] | 3 backdoor | two-five-unresolved
C D7 C/G G7 C [C major] | 1 secondary-dominant, 2 six-four | secondary-dominant-unresolved
A C#dim F#7 Bm E7 A [A major] | 1 two-five-one | secondary-leading-tone-unresolved
Cm C#dim/C Cm [C minor] | 0 pedal | secondary-leading-tone-unresolved
Dm G C C7 F [C major] | 0 two-five-one, 3 secondary-dominant | two-five
Am Fm6/G Gm [C major] | | four-over-five
Cdim Bdim Bbdim Adim Abdim Gdim [C minor] | 0 parallel | lament
A G/A D/A A [A mixolydian] | 0 pedal | double-plagal
Em C G/B Am Em/G D [G major] | 1 bass-line | lament passing-six-four
Dm Bb7b5 A7 Dm [D minor] | 1 augmented-sixth | tritone-substitute borrowed
Bm C/E A#dim7 Bm [B minor] | 1 neapolitan | borrowed passing-diminished
C Caug C6 C7 F [C major] | 0 line, 3 secondary-dominant | borrowed altered-dominant
C C7 F Fm C [C major] | 1 line-through, 1 secondary-dominant, 3 minor-plagal | backdoor
C D F C [C major] | 0 line-through, 1 borrowed | chromatic-mediant secondary-dominant-unresolved
C D7 F C [C major] | 1 secondary-dominant-unresolved | borrowed chromatic-mediant
C E7 F C [C major] | 1 secondary-dominant-unresolved | deceptive borrowed
C D/C F/C C [C major] | 0 pedal | plagal six-four chromatic-mediant
Dm7/G G7 Fm6/G G7(b9) C [C major] | 0 pedal, 3 altered-dominant | minor-plagal
C F/G C [C major] | 1 four-over-five | plagal suspension-stays
A7 D7 A7 E7 D7 A7 [A major] | 0 blues-dominant, 1 blues-dominant | secondary-dominant borrowed
C7 F7 C7 Gm7 C7 F7 C7 [C major] | 3 two-five, 4 secondary-dominant | borrowed deceptive
C7 F7 F#dim7 C7/G A7 Dm7 G7 C7 F7 C7 [C major] | 2 passing-diminished, 5 two-five-one | borrowed
Bb Bb7 Eb7 Edim7 Bb/F F7 Bb [Bb major] | 2 blues-dominant, 4 six-four | borrowed
Am7 Dm7 Am7 F7 E7 Am7 [A minor] | 3 tritone-substitute, 4 leading-note | augmented-sixth
C C#dim7 Dm7 D#dim7 Em7 [C major] | 1 secondary-leading-tone, 1 passing-diminished | borrowed
Em7 Ebdim7 Dm7 G7 C [C major] | 1 passing-diminished | common-tone-diminished secondary-leading-tone
C Cdim7 C [C major] | 1 common-tone-diminished | passing-diminished borrowed
C Bdim7 C [C major] | 1 borrowed | common-tone-diminished passing-diminished
Am G#dim7 Am [A minor] | 1 leading-note | passing-diminished borrowed
Cm Fm Db/F G7 Cm [C minor] | 2 neapolitan | borrowed tritone-substitute
Cm Db/F Cm/G G7 Cm [C minor] | 1 neapolitan, 2 six-four | tritone-substitute
Cm Ab7 G Cm [C minor] | 1 augmented-sixth | tritone-substitute secondary-dominant
Cm Ab7(no5) G Cm [C minor] | 1 augmented-sixth | tritone-substitute
Cm D7(b5)/Ab G Cm [C minor] | 1 augmented-sixth | secondary-dominant tritone-substitute
C Ab7 C/G G7 C [C major] | 1 augmented-sixth, 2 six-four | tritone-substitute borrowed
Am Dm E7 A [A minor] | 3 picardy | borrowed
C F G7 Am [C major] | 2 deceptive | secondary-dominant
Cm Fm G7 Ab [C minor] | 2 deceptive | borrowed
C Am F C [C major] | 2 plagal | minor-plagal deceptive
C Fm6 C [C major] | 1 minor-plagal, 1 borrowed | plagal
C Bb F C [C major] | 1 double-plagal | plagal secondary-dominant
C Ab Bb C [C major] | 1 flat-six-seven-one, 1 borrowed | parallel backdoor
Cm Fm/Ab G [C minor] | 1 phrygian-half-close | plagal
Am G F E [A minor] | 0 andalusian | lament parallel borrowed
Am G F E [E phrygian] | 0 andalusian, 3 phrygian-major | picardy borrowed
Cm Cm/Bb Ab G [C minor] | 0 lament | andalusian bass-line
C C/E F F#dim7 C/G [C major] | 1 bass-line, 3 passing-diminished | lament
C G/B Am7 C/G F C/E Dm7 G7 C [C major] | 0 bass-line, 3 passing-six-four | pedal six-four
C F C/G G7 C [C major] | 2 six-four | passing-six-four pedal
C Eb C [C major] | 1 chromatic-mediant, 1 borrowed | parallel
Dm7 G Dm7 G Dm7 G | 1 mode-colour | borrowed two-five-one two-five-unresolved
G F C G F C G | 1 mode-colour, 1 double-plagal | borrowed
Em F Em F Em | 1 mode-colour | neapolitan borrowed side-step
Cmaj7(#11) D7/C Cmaj7(#11) [C lydian] | 0 mode-colour, 0 pedal | secondary-dominant borrowed
Dsus4 D Gsus4 G [C major] | 0 suspension-resolves, 2 suspension-resolves | suspension-stays borrowed
Dm7 G7sus4 C [C major] | 1 suspension-stays | suspension-resolves two-five-one
Am Dm G C F Bdim E Am [A minor] | 0 circle | dominant-chain turnaround
C Am F G C Am F G [C major] | | line-through turnaround deceptive plagal
C G Am F C G Am F [C major] | | plagal deceptive line-through
"""
ROWS = [tuple(cell.strip() for cell in line.split("|")) for line in TABLE.strip().splitlines()]


def heard(text: str) -> Explanation:
    """Return the explanation of changes with their key, if one is given."""
    changes, _, key = text.partition(" [")
    symbols = [parse_symbol(word) for word in changes.split()]
    return explain(symbols, key=parse_key(key.rstrip("]")) if key else None)


@pytest.mark.parametrize(("text", "told", "untold"), ROWS, ids=[row[0] for row in ROWS])
def test_what_a_teacher_would_say(text: str, told: str, untold: str) -> None:
    """Everything that must be told is told at its chord; nothing that would be wrong is."""
    kinds = [{remark.kind for remark in chord.remarks} for chord in heard(text).chords]
    wanted = [claim.split() for claim in told.split(",") if claim]
    missing = [(at, kind) for at, kind in wanted if kind not in kinds[int(at)]]
    wrong = [kind for kind in untold.split() if any(kind in one for one in kinds)]
    assert not missing and not wrong


def test_there_are_progressions_enough() -> None:
    """Sixty and more, and no two alike."""
    assert len({row[0] for row in ROWS}) == len(ROWS) > 60
