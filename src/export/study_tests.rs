use insta::assert_snapshot;
use proptest::prelude::*;

use super::extent::Extent;
use super::numbers::numbers as numbers_of;
use super::study::study;
use crate::pattern::PatternFile;
use crate::summary::Whose;
use crate::summary::numbers::numbers;
use crate::summary::study::test_matches::{any_facets, any_record, charted};
use crate::summary::study::{Facets, Pool, ask, named, starter};

fn printed(name: &str, whose: Whose) -> String {
    let pool = Pool::new((1..4).map(charted).collect());
    let questions = starter(&PatternFile::starter().unwrap().patterns);
    study(&ask(&pool, named(&questions, name).unwrap(), &Facets { whose, ..Facets::default() }), Extent::Full)
}

fn holt() -> Whose {
    Whose::Named("Holt".into())
}

#[test]
fn service_points() {
    assert_snapshot!(printed("What wins my service points?", holt()), @r"
    What wins my service points?
    Holt, on serve: 150 points
    78 points lack the data for this question
    117 points are in doubt: what was logged contradicts itself, or the ending is missing; changeover check says more
    Points on serve by first or second serve, by its direction, and by where shot 3 went.

    Cannot tell yet: too few points. Nearest to a difference: Holt won 17 of 41 points (41 %) when shot 3 went to the middle, and 28 of 50 points (56 %) when it went elsewhere. About 100 more points on serve like these 91 would show a difference of 20 percentage points between these two, if there is one.

    serve number  points  won  lost  unknown    rate  95 % range  0 %                 100 %      others  careful  compared
    first serve       95   43    52        0    45 %       36–55          ───●─┊             53 % of 55     46 %  too few points
    second serve      55   29    26        0    53 %       40–65           ──┊─●───          45 % of 95     51 %  too few points
    the rows cannot be ranked: their ranges overlap

    serve direction  points  won  lost  unknown    rate  95 % range  0 %                 100 %       others  careful  compared
    wide                 65   29    36        0    45 %       33–57          ───●┊──             51 % of 85     45 %  too few points
    body                 26   15    11        0    58 %       39–74           ──┊──●────        46 % of 124     53 %  too few points
    T                    59   28    31        0    47 %       35–60          ───●┊──             48 % of 91     48 %  too few points
    the rows cannot be ranked: their ranges overlap

    serve plus one  points  won  lost  unknown    rate  95 % range  0 %                 100 %      others  careful  compared
    open court          29   16    13        0    55 %       38–72           ──┊─●────         47 % of 62     53 %  too few points
    behind              21   12     9        0    57 %       37–76           ──┊──●────        47 % of 70     53 %  too few points
    middle              41   17    24        0    41 %       28–57        ────●───┊            56 % of 50     44 %  too few points
    50 points estimated from where the shots before landed; 31 points have no direction for shot 3, or no known open court; 28 points had no shot 3, or a missed shot 3 without a known aim; the rows cannot be ranked: their ranges overlap

    where it landed: serve in play; points won, of those won or lost
                       wide     body         T
      deuce court  14 of 31  7 of 14  19 of 33
      ad court     15 of 34  8 of 12   9 of 26

    where it landed: serve plus one, as its striker sees it, the net above; points won, of those won or lost
                 left   middle    right
      short  10 of 13  6 of 14  6 of 10
      mid      7 of 9  3 of 13  3 of 10
      deep   10 of 13  6 of 12  4 of 16
      only shots that landed are shown; those that missed are not
      place unknown: 3 points
      no shot 3 in play: 37 points

    ● the rate, ─ where the true rate probably lies (95 % range), ┊ the others
    others: the points of the other rows of the table
    careful: the rate pulled toward that of the row and its others together, by the weight of 20 points

    keep in mind
      few points: the smaller of the two groups has 41, and needs about 90 to show a difference of 20 percentage points (row: middle)
      choice: players choose when to play a shot, so these points may have been easier or harder than the others
      score: up to 17 % of a row's points were played at other scores than the points it is compared with; a filter by score compares like with like (row: middle)
      opponent: there is only one; against another it may be different
    ");
}

#[test]
fn how_mixed_the_serves_are() {
    assert_snapshot!(printed("Am I predictable on serve?", holt()), @r"
    Am I predictable on serve?
    Holt, on serve: 150 points
    78 points lack the data for this question
    117 points are in doubt: what was logged contradicts itself, or the ending is missing; changeover check says more
    Directions of all first serves, and of all second serves, in or out: how mixed they are, whether one serve gives away the next, and how often the whole point was won with each.

    No favourite direction was found for Holt, beyond chance; the nearest to one: second serve, ad court, wide 14 times of 23 (61 %). Whether one serve gives away the next: too few serves to say.
    First serve, deuce court: 19 wide, 7 to the body, 20 down the T; an opponent who always expects it down the T is right 20 times of 46; with an even mix, about 15 times; that may be chance; too few serves to say whether the one before gives the next away; too few points to compare what each direction wins.
    First serve, ad court: 20 wide, 8 to the body, 21 down the T; an opponent who always expects it down the T is right 21 times of 49; with an even mix, about 16 times; that may be chance; too few serves to say whether the one before gives the next away; too few points to compare what each direction wins.
    Second serve, deuce court: 12 wide, 7 to the body, 13 down the T; an opponent who always expects it down the T is right 13 times of 32; with an even mix, about 11 times; that may be chance; too few serves to say whether the one before gives the next away; too few points to compare what each direction wins.
    Second serve, ad court: 14 wide, 4 to the body, 5 down the T; an opponent who always expects it wide is right 14 times of 23; with an even mix, about 8 times; that may be chance; too few serves to say whether the one before gives the next away; too few points to compare what each direction wins.

    first serve, deuce court  points  won  lost  unknown      rate  95 % range  0 %                 100 %      others  careful  compared
    wide                          19    8    11        0      42 %       23–64       ─────●──┊──           56 % of 27     46 %  too few points
    body                           7    2     5        0    2 of 7        8–64    ─────●─────┊───          54 % of 39     44 %  too few points
    T                             20   13     7        0      65 %       43–82           ┊──────●────      38 % of 26     58 %  too few points
    32 points have no serve direction; 72 points had no first serve to the deuce court; the rows cannot be ranked: their ranges overlap

    first serve, ad court  points  won  lost  unknown      rate  95 % range  0 %                 100 %      others  careful  compared
    wide                       20   10    10        0      50 %       30–70         ─┊───●─────         34 % of 29     46 %  too few points
    body                        8    4     4        0    4 of 8       22–78       ────┊──●───────       39 % of 41     44 %  too few points
    T                          21    6    15        0      29 %       14–50     ────●────┊              50 % of 28     35 %  too few points
    23 points have no serve direction; 78 points had no first serve to the ad court; the rows cannot be ranked: their ranges overlap

    second serve, deuce court  points  won  lost  unknown      rate  95 % range  0 %                 100 %      others  careful  compared
    wide                           12    6     6        0      50 %       25–75        ──────●┊─────        55 % of 20     52 %  too few points
    body                            7    5     2        0    5 of 7       36–92          ────┊────●─────    48 % of 25     58 %  too few points
    T                              13    6     7        0      46 %       23–71       ──────●──┊───         58 % of 19     50 %  too few points
    118 points had no second serve to the deuce court; the rows cannot be ranked: their ranges overlap

    50 % were won when the second serve to the deuce court, in or out, went wide, and 55 % of the other points, but it is the other way round in every match. Trust the comparison by match: these points and the others were not played equally often in each match.
      match                            wide        the rest
      match 1, Holt – Okafor   0 of 4 (0 %)               –
      match 2, Holt – Okafor  4 of 5 (80 %)  7 of 11 (64 %)
      match 3, Holt – Okafor  2 of 3 (67 %)   4 of 9 (44 %)

    second serve, ad court  points  won  lost  unknown      rate  95 % range  0 %                 100 %      others  careful  compared
    wide                        14    5     9        0      36 %       16–61      ────●───────   ┊           7 of 9     45 %  too few points
    body                         4    4     0        0    4 of 4      51–100            ┊ ────────────●  42 % of 19     60 %  too few points
    T                            5    3     2        0    3 of 5       23–88       ───────┊──●───────    50 % of 18     54 %  too few points
    127 points had no second serve to the ad court; the rows cannot be ranked: too few points

    where it landed: first serve, in or out; points won, of those won or lost
                       wide    body         T
      deuce court   8 of 19  2 of 7  13 of 20
      ad court     10 of 20  4 of 8   6 of 21
      place unknown: 55 points

    ● the rate, ─ where the true rate probably lies (95 % range), ┊ the others
    others: the points of the other rows of the table
    careful: the rate pulled toward that of the row and its others together, by the weight of 20 points

    keep in mind
      few points: the smaller of the two groups has 9, and needs about 80 to show a difference of 20 percentage points (row: second serve, ad court: wide)
      choice: players choose when to play a shot, so these points may have been easier or harder than the others
      score: up to 30 % of a row's points were played at other scores than the points it is compared with; a filter by score compares like with like (row: second serve, deuce court: body)
      opponent: there is only one; against another it may be different
    ");
}

#[test]
fn patterns_beside_the_other_points() {
    assert_snapshot!(printed("Which patterns pay?", Whose::Both), @r"
    Which patterns pay?
    both players: 360 points
    265 points are in doubt: what was logged contradicts itself, or the ending is missing; changeover check says more
    Each pattern, compared with the other points in which it could have happened.

    Nothing stands out in 360 points: 4 comparisons found no difference, and 12 had too few points. The largest difference of those: the server won 44 of 77 points (57 %) with “Long rally”, and 89 of 191 points (47 %) without it.

    pattern                                            points  won  lost  unknown  may show it    rate  95 % range  0 %                 100 %       others  careful  compared
    First serve in (server)                               244   90   100       54            0    47 %       40–54            ─●─┊              55 % of 91     48 %  no difference
    Break point (server)                                   43   24    19        0           24    56 %       41–70            ──┊●────         49 % of 237     54 %  too few points
    Server behind, first serve                             63   29    34        0           54    46 %       34–58          ───●───┊            60 % of 25     47 %  too few points
    Errors by the server (receiver)                        57   57     0        0           29   100 %      94–100           ┊             ─●  38 % of 224     87 %  by definition
    Plus one, open court (server)                          61   23    27       11           74    46 %       33–60          ───●┊──            50 % of 132     47 %  too few points
    Plus one, behind (server)                              54   24    21        9           74    53 %       39–67           ──┊─●───          47 % of 137     52 %  too few points
    Wide serve, open court (server)                        42   16    16       10            7    50 %       34–66          ──┊─●────           43 % of 63     48 %  too few points
    T serve, then to a side (server)                       67   28    20       19            8    58 %       44–71             ───●┊──          63 % of 35     59 %  too few points
    Serve at the body (server)                             78   30    32       16            6    48 %       36–61           ───●───           50 % of 219     49 %  no difference
    Serve to the backhand (server)                        145   59    59       27            6    50 %       41–59            ──●──            50 % of 163     50 %  no difference
    First serve wide, in or out, deuce court (server)      46   19    19        8           68    50 %       35–65          ────●─┊──           56 % of 55     51 %  too few points
    First serve T, in or out, ad court (server)            47   14    19       14           52    42 %       27–59        ────●────             41 % of 64     42 %  too few points
    Return deep to the middle (receiver)                   30   13     8        9            9    62 %       41–79            ──┊──●────       49 % of 216     56 %  too few points
    Opponent pulled in                                    278   98   121       59           11    45 %       38–51           ──●─                        –     45 %  no others
    Opponent pushed back                                  202   71    89       42           16    44 %       37–52           ──●──                       –     44 %  no others
    Change down the line                                   12    7     2        3           44  7 of 9       45–94             ────────●────             –     76 %  no others
    Inside-out forehand                                    74   32    29       13          201    52 %       40–64            ───●───                    –     52 %  no others
    Short rally (server)                                  119   47    51       21           10    48 %       38–58           ──●┊──            51 % of 176     48 %  by definition
    Long rally (server)                                   102   44    33       25           17    57 %       46–68             ┊──●──          47 % of 191     56 %  no difference
    Wide serve, deuce court (server)                       68   29    27       12            3    52 %       39–64           ───●┊───           55 % of 88     52 %  too few points
    T serve, ad court (server)                             63   22    23       18            3    49 %       35–63          ───┊●───            45 % of 92     48 %  too few points
    Second serve, return deep (receiver)                   42   15    16       11            2    48 %       32–65         ───┊─●────           43 % of 51     47 %  too few points
    patterns that no point shows (in brackets: points that may show them): Drop shot (23), Plan played (server) (360), Serve and volley (server) (3), Drop shot, all conditions met (23), Drop shot, a condition missed (23), Impatient drop shot (23), Lob after a drop shot (23), Approach to the weaker wing (23), At the net (23)

    52 % were won with “Wide serve, deuce court”, and 55 % of the other points, but it is the other way round when each match is compared by itself. Trust the comparison by match: these points and the others were not played equally often in each match.
      match                   Wide serve, deuce court         the rest
      match 1, Holt – Okafor           4 of 14 (29 %)    3 of 7 (43 %)
      match 1, Holt – Okafor                        –                –
      match 2, Holt – Okafor          12 of 18 (67 %)  24 of 43 (56 %)
      match 3, Holt – Okafor          13 of 24 (54 %)  21 of 38 (55 %)

    ● the rate, ─ where the true rate probably lies (95 % range), ┊ the others
    others: the points without the pattern in which it could have happened
    careful: the rate pulled toward that of the row and its others together, by the weight of 20 points

    keep in mind
      few points: the smaller of the two groups has 21, and needs about 50 to show a difference of 20 percentage points (row: Return deep to the middle (receiver))
      many comparisons: among 16, chance alone makes at least one look like a difference 56 % of the time
      missed shots: only shots that landed are counted; 3 more missed, and it is not known which of them belong here, so the rate may be too high by up to 3 percentage points, if all that lost the point belong here, or too low by up to 2 percentage points, if all that won it belong here (row: Second serve, return deep (receiver))
      choice: players choose when to play a shot, so these points may have been easier or harder than the others; 77 points are unknown
      score: up to 83 % of a row's points were played at other scores than the points it is compared with; a filter by score compares like with like (row: Break point (server))
      opponent: not compared; it may explain the difference
    ");
}

#[test]
fn which_wing() {
    assert_snapshot!(printed("Which side makes the errors?", holt()), @r"
    Which side makes the errors?
    points in which Holt hit the last shot: 138 points
    96 points lack the data for this question
    114 points are in doubt: what was logged contradicts itself, or the ending is missing; changeover check says more
    Points by the player's own last shot: how often it was an error, forced or not. Aces and double faults have no side.

    Holt made 24 errors with the forehand (17 unforced) and 23 errors with the backhand (11 unforced). Of the last shots, 24 of 59 forehands (41 %) and 23 of 61 backhands (38 %) were errors: too few to say which side makes more. About 80 more points like these 120 would show a difference of 20 percentage points between these two, if there is one.
    These are shares of the last shots, not of all forehands and backhands struck.

    side of the last shot: errors  points  error  not  unknown    rate  95 % range  0 %                 100 %      others  careful  compared
    forehand                           59     24   35        0    41 %       29–53         ──┊●───             38 % of 61     40 %  too few points
    backhand                           61     23   38        0    38 %       27–50        ───●┊──              41 % of 59     38 %  too few points
    18 points ended with the serve; the rows cannot be ranked: their ranges overlap

    stroke of the last shot: errors  points  error  not  unknown    rate  95 % range  0 %                 100 %  others  careful  compared
    groundstroke                        120     47   73        0    39 %       31–48         ──●───                   –     39 %  no others
    no points: volley, overhead, lob, drop shot
    18 points ended with the serve

    side of the last shot: unforced errors  points  unforced error  not  unknown    rate  95 % range  0 %                 100 %      others  careful  compared
    forehand                                    59              17   42        0    29 %       19–41      ┊──●───                18 % of 61     27 %  too few points
    backhand                                    61              11   50        0    18 %       10–29    ──●──┊                   29 % of 59     19 %  too few points
    18 points ended with the serve; the rows cannot be ranked: their ranges overlap

    where it landed: last shot, as its striker sees it, the net above; points won, of those won or lost
               left             middle   right
      short  1 of 1  1 of 2 +1 unknown  2 of 6
      mid    3 of 4             2 of 5  2 of 4
      deep   4 of 6             2 of 3  4 of 7
      only shots that landed are shown: winners are here, errors are not
      last shot missed, or only a serve: 99 points

    ● the rate, ─ where the true rate probably lies (95 % range), ┊ the others
    others: the points of the other rows of the table
    careful: the rate pulled toward that of the row and its others together, by the weight of 20 points

    keep in mind
      few points: the smaller of the two groups has 59, and needs about 100 to show a difference of 20 percentage points (row: side of the last shot: forehand)
      choice: players choose when to play a shot, so these points may have been easier or harder than the others
      score: up to 12 % of a row's points were played at other scores than the points it is compared with; a filter by score compares like with like (row: side of the last shot: forehand)
      opponent: there is only one; against another it may be different
    ");
}

/// What no answer may say, whatever is known: a number that is none, a zero with a sign, a share of nothing.
fn odd(text: &str) -> Option<&str> {
    let words = ["NaN", "inf ", "inf)", "-0", "−0", " of 0", "up to 0 ", "at most 0 ", "about 0 "];
    text.lines().find(|line| words.iter().any(|w| line.contains(w)))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn no_answer_has_a_number_that_is_none(a in any_record(), b in any_record(), facets in any_facets()) {
        let whose = facets.whose.clone();
        let pool = Pool::new(vec![a, b]);
        let patterns = PatternFile::starter().unwrap().patterns;
        for question in starter(&patterns) {
            let found = ask(&pool, &question, &facets);
            for extent in [Extent::Full, Extent::Short] {
                let text = study(&found, extent);
                prop_assert_eq!(odd(&text), None, "{}", text);
            }
        }
        let found = numbers(&pool, &whose);
        for set in [None, Some(1), Some(2)] {
            let text = numbers_of(&found, set);
            prop_assert_eq!(odd(&text), None, "{}", text);
        }
    }
}
