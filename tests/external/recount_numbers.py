"""Counts the match in numbers again, from the record alone.

    recount_numbers.py FOLDER

For each NAME.points.json in FOLDER there is a NAME.numbers.json, which `changeover numbers --json` printed. Nothing
here is taken from Changeover: the score, the ends, the lines are worked out anew by the Rules of Tennis, for matches
of tie-break sets with advantage in which every winner is known. Says what differs, and ends with 1 if anything does.
"""

import json
import sys
from collections import Counter
from pathlib import Path

MIRROR = {"left": "right", "middle": "middle", "right": "left"}
# What is known more often not to be so than to be so has no rate where anything is unknown.
LEAN = {"aces", "double faults", "winners, without aces", "forced errors", "unforced errors, without double faults"}
YES, NO, UNKNOWN, OUT = "counted", "others", "unknown", None

wrong = []
compared = Counter()


def other(side):
    return "b" if side == "a" else "a"


class Score:
    """Sets of six games, a tie-break at six all, advantage."""

    def __init__(self, match):
        self.sets, self.games, self.points = 0, Counter(), Counter()
        self.server, self.end = match["first_server"], {"a": match["a_starts"]}
        self.end["b"] = "far" if self.end["a"] == "near" else "near"
        self.tie_break_server = None

    def in_tie_break(self):
        return self.games["a"] == self.games["b"] == 6

    def wins(self, side):
        """Whether the next point wins the game for this side."""
        need = 7 if self.in_tie_break() else 4
        mine, theirs = self.points[side] + 1, self.points[other(side)]
        return mine >= need and mine - theirs >= 2

    def state(self):
        tie = self.in_tie_break()
        played = self.points["a"] + self.points["b"]
        server = self.server
        if tie and (played + 1) // 2 % 2:
            server = other(server)
        return {
            "set": self.sets + 1,
            "tie": tie,
            "server": server,
            "court": "ad" if played % 2 else "deuce",
            "end": self.end[server],
            "game_point": not tie and self.wins(server),
            "break_point": not tie and self.wins(other(server)),
        }

    def change_ends(self):
        self.end = {"a": self.end["b"], "b": self.end["a"]}

    def take(self, winner):
        tie, over = self.in_tie_break(), self.wins(winner)
        self.points[winner] += 1
        if not over:
            if tie and sum(self.points.values()) % 6 == 0:
                self.change_ends()
            return
        self.points = Counter()
        self.games[winner] += 1
        self.server = other(self.server)
        if sum(self.games.values()) % 2:
            self.change_ends()
        mine, theirs = self.games[winner], self.games[other(winner)]
        if tie or mine >= 6 and mine - theirs >= 2:
            self.sets += 1
            self.games = Counter()


def read(record):
    """The points that count, with what the score says of each."""
    score, points = Score(record["match"]), []
    for number, point in enumerate(record["points"]):
        if point.get("replayed"):
            continue
        points.append({**score.state(), "n": number, "p": point})
        score.take(point["winner"])
    return points


def known(value, wanted):
    return UNKNOWN if value is None else YES if value == wanted else NO


def both(*answers):
    return NO if NO in answers else UNKNOWN if UNKNOWN in answers else YES


def among(whether, answer):
    return OUT if whether == NO else UNKNOWN if whether == UNKNOWN else answer


def length(point):
    shots, finish = len(point["p"].get("shots", [])), point["p"].get("finish")
    if finish == "double-fault":
        return None if shots else 0
    if finish == "ace":
        return 1 if shots <= 1 else None
    if point["p"].get("penalty") and not finish:
        return 0 if not shots else None
    return shots or None if point["p"].get("logged") == "every" else None


def unreturned(point):
    """Whether the serve did not come back; None where that is not known."""
    p, shots = point["p"], point["p"].get("shots", [])
    if p.get("unreturned"):
        return True
    if p.get("penalty"):
        return False
    if p.get("finish") == "ace":
        return True
    if p.get("finish") == "double-fault" or len(shots) > 2:
        return False
    if len(shots) == 1 and p.get("logged") == "every":
        return True
    if len(shots) == 2 and p.get("logged"):
        return missed(point, 1)
    return None


def ended(point, finish):
    """Whether the point ended so; what the shots rule out is known without the finish."""
    p = point["p"]
    if p.get("penalty"):
        return NO
    if p.get("finish"):
        return YES if p["finish"] == finish else NO
    shots, back = len(p.get("shots", [])), unreturned(point)
    n = length(point)
    out = missed(point, n - 1) if n and n <= shots else None
    no = {
        "double-fault": shots > 0 or back is True or p.get("faults") == 0,
        "ace": shots > 1 or back is False,
        "winner": back is True or out is True,
    }.get(finish, out is False and back is not True)
    return NO if no else UNKNOWN


def serve(point):
    faults = point["p"].get("faults")
    if faults is None:
        return 2 if point["p"].get("finish") == "double-fault" else None
    return 1 if faults == 0 else 2


def striker(point, n):
    return point["server"] if n % 2 == 0 else other(point["server"])


def end(point, n):
    return point["end"] if n % 2 == 0 else "far" if point["end"] == "near" else "near"


def box(point, shot):
    """Wide, body or T. From the near end the deuce court's box is on the left, with its wide third on the left."""
    cell = shot.get("cell")
    if cell is None:
        return None
    if cell["column"] == "middle":
        return "body"
    left = (point["end"] == "near") == (point["court"] == "deuce")
    return "wide" if (cell["column"] == "left") == left else "T"


def column(point, n):
    """The third of the court as the camera sees it. A serve to the T lands in the middle."""
    shot = point["p"]["shots"][n]
    if n == 0:
        to = box(point, shot)
        if to is None:
            return None
        left = (point["end"] == "near") == (point["court"] == "deuce")
        return "middle" if to == "T" else "left" if left else "right"
    cell = shot.get("cell")
    return cell["column"] if cell else None


def missed(point, n):
    """Whether the shot is known to have missed: all but the last were answered."""
    p, shot = point["p"], point["p"]["shots"][n]
    if n < len(p["shots"]) - 1:
        return False
    if "aim" in shot or "aim_place" in shot:
        return True
    seen = "cell" in shot or "depth" in shot or "landing" in shot
    if p.get("logged") is None:
        return None
    if p["logged"] == "opening":
        return False if n == 0 or seen else None
    if p.get("finish"):
        return p["finish"].endswith("error")
    return "miss" in p or not seen and p["winner"] != striker(point, n)


def toward(point, n):
    """Where a shot landed or, if it missed, was aimed."""
    found = column(point, n)
    aim = point["p"]["shots"][n].get("aim")
    return found or (aim["column"] if n > 0 and aim else None)


def line(point, n, hands):
    lands = toward(point, n)
    if lands in (None, "middle"):
        return lands
    struck = column(point, n - 1)
    if struck in (None, "middle"):
        return None
    shot, hand = point["p"]["shots"][n], hands[striker(point, n)]
    inside = False
    if shot.get("wing") != "backhand" and shot.get("stroke") != "overhead":
        if hand is None:
            return None
        backhand = "left" if (end(point, n) == "near") == (hand == "right") else "right"
        if struck == backhand:
            if shot.get("wing") is None:
                return None
            inside = True
    if struck != lands:
        return "inside-out" if inside else "cross-court"
    return "inside-in" if inside else "down the line"


def went(point, n, hands, wanted):
    """Among those of which the line is asked, and whether it is on it."""
    lands, on = toward(point, n), line(point, n, hands)
    middle = UNKNOWN if lands is None else YES if lands == "middle" else NO
    if wanted == "middle":
        return YES, middle
    return {YES: NO, NO: YES, UNKNOWN: UNKNOWN}[middle], known(on, wanted)


def last(point, side):
    n = length(point)
    shots = point["p"].get("shots", [])
    if not n or n > len(shots) or striker(point, n - 1) != side:
        return None
    return n - 1


def made(point, side, *finishes):
    finish = point["p"].get("finish")
    if finish is None:
        answers = [ended(point, f) for f in finishes]
        n = length(point)
        by = striker(point, n - 1) if n else None
        if by is None and all(f.endswith("error") for f in finishes) and unreturned(point):
            by = other(point["server"])
        return NO if answers.count(NO) == len(answers) or by not in (None, side) else UNKNOWN
    if finish not in finishes:
        return NO
    loses = finish.endswith("error")
    return YES if (point["p"]["winner"] != side) == loses else NO


def net(point, side):
    shots, seen = point["p"].get("shots", []), []
    count = max(len(shots), length(point) or 0)
    for n in range(count):
        if striker(point, n) != side:
            continue
        shot = shots[n] if n < len(shots) else {}
        noted = shot.get("approach") or "stroke" in shot or n == 0 and "cell" in shot
        came = YES if shot.get("approach") else NO if noted else UNKNOWN
        if n > 0 and shot.get("at_net"):
            seen.append(YES)
            continue
        if n == 0:
            seen.append(NO if came == UNKNOWN and (length(point) == 1 or unreturned(point)) else came)
            continue
        stroke = shot.get("stroke")
        struck = UNKNOWN if stroke is None else YES if stroke in ("volley", "overhead") else NO
        seen.append(YES if YES in (came, struck) else UNKNOWN if UNKNOWN in (came, struck) else NO)
    if YES in seen:
        return YES
    return UNKNOWN if UNKNOWN in seen or length(point) is None and not unreturned(point) else NO


def band(point):
    n, logged = length(point), len(point["p"].get("shots", []))
    if n is None:
        return "9+" if logged >= 9 else "1–4" if unreturned(point) and logged <= 2 else None
    return "0" if n == 0 else "1–4" if n <= 4 else "5–8" if n <= 8 else "9+"


def directions(point, n, court, to):
    if point["court"] != court:
        return NO, UNKNOWN
    if n == 2 and serve(point) != 2:
        return NO if serve(point) == 1 else UNKNOWN, UNKNOWN
    faults, out = point["p"].get("faults"), point["p"].get("serves_out", [])
    shot = None
    if faults is not None:
        if n - 1 < faults:
            shot = out[n - 1] if len(out) == faults and n - 1 < len(out) else None
        elif n - 1 == faults:
            shot = (point["p"].get("shots") or [None])[0]
    return YES, known(box(point, shot) if shot is not None else None, to)


def shares(points, side, hands):
    """Every share: its name to the items that count, do not, or may."""

    def share(of):
        lists = {YES: [], NO: [], UNKNOWN: []}
        for point in points:
            answer = of(point)
            if answer is not OUT:
                lists[answer].append((point["n"], None))
        return lists

    def won(p):
        return YES if p["p"]["winner"] == side else NO

    def on(p):
        return YES if p["server"] == side and "penalty" not in p["p"] else NO

    def off(p):
        return YES if p["server"] != side and "penalty" not in p["p"] else NO

    def own_game(p):
        return YES if p["server"] == side else NO

    def their_game(p):
        return NO if p["server"] == side else YES

    def over(p):
        return YES if p["game_point" if p["p"]["winner"] == p["server"] else "break_point"] else NO

    def chance(p):
        return YES if p["break_point"] else NO

    found = {
        "points won": share(won),
        "first serves in": share(lambda p: among(on(p), known(serve(p), 1))),
        "aces": share(lambda p: among(on(p), ended(p, "ace"))),
        "double faults": share(lambda p: among(on(p), ended(p, "double-fault"))),
        "service points won": share(lambda p: among(on(p), won(p))),
        "return points won": share(lambda p: among(off(p), won(p))),
        "service games held": share(lambda p: among(both(own_game(p), over(p)), won(p))),
        "return games won (breaks)": share(lambda p: among(both(their_game(p), over(p)), won(p))),
        "break points saved": share(lambda p: among(both(own_game(p), chance(p)), won(p))),
        "break points converted": share(lambda p: among(both(their_game(p), chance(p)), won(p))),
        "winners, without aces": share(lambda p: made(p, side, "winner")),
        "forced errors": share(lambda p: made(p, side, "forced-error")),
        "unforced errors, without double faults": share(lambda p: made(p, side, "unforced-error")),
        "net points won": share(lambda p: among(net(p, side), won(p))),
    }
    for n, word in ((1, "first"), (2, "second")):
        found[f"won on {word} serve"] = share(lambda p: among(both(on(p), known(serve(p), n)), won(p)))
        found[f"won against {word} serve"] = share(lambda p: among(both(off(p), known(serve(p), n)), won(p)))
        for court in ("deuce", "ad"):
            for to in ("wide", "body", "T"):

                def there(p):
                    asked, answer = directions(p, n, court, to)
                    return among(both(on(p), asked), answer)

                found[f"{word} serve, {court} court: {to}"] = share(there)
    for name in ("1–4", "5–8", "9+"):
        found[f"{name} shots"] = share(lambda p: among(known(band(p), name), won(p)))
    for wing in ("forehand", "backhand"):
        for miss in ("net", "long", "wide"):

            def error(p):
                n = last(p, side)
                by = UNKNOWN if n is None else known(p["p"]["shots"][n].get("wing"), wing)
                return among(both(made(p, side, "forced-error", "unforced-error"), by), known(p["p"].get("miss"), miss))

            found[f"{wing}: {miss}"] = share(error)
        lines = ["middle", "cross-court", "down the line"]
        lines += ["inside-out", "inside-in"] if wing == "forehand" else []
        for wanted in lines:
            name = f"{wing} to the middle" if wanted == "middle" else f"{wing} to a side: {wanted}"

            def ended_on(p, ways, missed_so=YES):
                n = last(p, side)
                if n is None or n == 0:
                    asked, goes = (YES if wanted == "middle" else UNKNOWN), UNKNOWN
                    lands = None if n is None else column(p, 0)
                    if lands == "middle":
                        asked, goes = (YES, YES) if wanted == "middle" else (NO, NO)
                    elif lands is not None:
                        asked, goes = YES, NO if wanted == "middle" else UNKNOWN
                    wing_of = UNKNOWN
                else:
                    asked, goes = went(p, n, hands, wanted)
                    wing_of = known(p["p"]["shots"][n].get("wing"), wing)
                whether = both(made(p, side, *ways), wing_of, asked)
                return among(whether, both(goes, missed_so))

            found["winners / " + name] = share(lambda p: ended_on(p, ["winner"]))
            for miss in ("net", "long", "wide"):
                on = f"{wing} to the middle: {miss}" if wanted == "middle" else f"{wing} to a side, {wanted}: {miss}"
                ways = ["forced-error", "unforced-error"]
                found["errors / " + on] = share(lambda p: ended_on(p, ways, known(p["p"].get("miss"), miss)))
            lists = {YES: [], NO: [], UNKNOWN: []}
            for p in points:
                for n, shot in enumerate(p["p"].get("shots", [])):
                    if n == 0 or striker(p, n) != side:
                        continue
                    asked, goes = went(p, n, hands, wanted)
                    answer = among(both(known(shot.get("wing"), wing), asked), goes)
                    if answer is not OUT:
                        lists[answer].append((p["n"], n))
                if length(p) is None and not (
                    unreturned(p) and (len(p["p"].get("shots", [])) > 1 or p["server"] == side)
                ):
                    lists[UNKNOWN].append((p["n"], None))
            found["lines / " + name] = lists
    return found


def most(points, side):
    best, row = [], []
    for p in points:
        row = row + [p["n"]] if p["p"]["winner"] == side else []
        best = row if len(row) > len(best) else best
    longest = max((length(p) or 0 for p in points if p["p"]["winner"] == side), default=0)
    where = [p["n"] for p in points if p["p"]["winner"] == side and longest and length(p) == longest]
    return {"most points in a row": (len(best), best), "longest rally won, in shots": (longest, where)}


def aims(points, side):
    """Shots in the rally that missed: without an aim that tells a direction, and with one."""
    found = [0, 0]
    for p in points:
        for n in range(1, len(p["p"].get("shots", []))):
            if striker(p, n) == side and missed(p, n):
                found[toward(p, n) is not None] += 1
    return found


def items(value, key):
    return sorted((i["point"], i.get("shot")) for i in value[key])


def compare(file, part, points, hands):
    asked = {
        "errors in the rally by line, where the aim was logged": "errors / ",
        "winners by direction, without aces": "winners / "}
    gone = {side: aims(points, side) for side in "ab"}
    lacking, having = (sum(gone[side][n] for side in "ab") for n in (0, 1))
    title = "directions of shots, in or out, without serves" if not lacking else (
        "directions of the shots that landed or whose aim is known, without serves" if having
        else "directions of the shots that landed, without serves")
    for row in part["rows"]:
        if row["topic"].startswith("directions of ") and row["topic"] != title:
            wrong.append(f"{file}: {row['topic']} is not {title}")
    for place, side in enumerate("ab"):
        if [part["missed"][place][key] for key in ("aim_unknown", "aim_known")] != gone[side]:
            wrong.append(f"{file}, set {part['set']}, {side}: missed {part['missed'][place]} is not {gone[side]}")
        ours, longest = shares(points, side, hands), most(points, side)
        seen = set()
        for row in part["rows"]:
            topic = "lines / " if row["topic"].startswith("directions of ") else asked.get(row["topic"], "")
            name = topic + row["name"]
            value, where = row["values"][place], f"{file}, set {part['set']}, {side}: {name}"
            compared[row["topic"]] += 1
            seen.add(name)
            if value["kind"] == "most":
                found = (value["value"], [n for n, _ in items(value, "points")])
                if found != longest[name]:
                    wrong.append(f"{where}: {found} is not {longest[name]}")
                continue
            for key in (YES, NO, UNKNOWN):
                mine = sorted(ours[name][key], key=lambda i: (i[0], -1 if i[1] is None else i[1]))
                theirs = sorted(
                    ((i["point"], i.get("shot")) for i in value[key]), key=lambda i: (i[0], -1 if i[1] is None else i[1])
                )
                if mine != theirs:
                    wrong.append(f"{where}: {key}: {theirs} is not {mine}")
            count, of = len(ours[name][YES]), len(ours[name][YES]) + len(ours[name][NO])
            if value["count"] != len(value["counted"]):
                wrong.append(f"{where}: {value['count']} is not the length of its list of clips")
            if (value["count"], value["of"]) != (count, of):
                wrong.append(f"{where}: {value['count']} of {value['of']} is not {count} of {of}")
            rate = value["rate"]["rate"] if value["rate"] else None
            leans = bool(ours[name][UNKNOWN]) and row["name"] in LEAN
            serves = row["name"].endswith("serve") or row["name"] == "first serves in"
            leans = leans or serves and len(ours[name][UNKNOWN]) > of
            if (rate is None) != (of == 0 or leans) or not leans and of and abs(rate - count / of) > 1e-12:
                wrong.append(f"{where}: the rate is {rate}")
        for name in set(ours) | set(longest):
            if name not in seen:
                wrong.append(f"{file}: there is no {name}")


def main():
    files = sorted(Path(sys.argv[1]).glob("*.points.json"))
    for path in files:
        record = json.loads(path.read_text("utf-8"))
        answer = json.loads(path.with_name(path.name.replace(".points.", ".numbers.")).read_text("utf-8"))
        points = read(record)
        hands = {side: record["match"][side].get("hand") for side in "ab"}
        sets = sorted({p["set"] for p in points})
        if [part["set"] for part in answer["parts"]] != [None, *sets]:
            wrong.append(f"{path.name}: the sets are not {sets}")
        for part in answer["parts"]:
            compare(path.name, part, [p for p in points if part["set"] in (None, p["set"])], hands)
    for text in wrong[:30]:
        print(text)
    print(f"{len(files)} records, {sum(compared.values())} numbers counted again: {len(wrong)} faults")
    return 1 if wrong or not files else 0


if __name__ == "__main__":
    sys.exit(main())
