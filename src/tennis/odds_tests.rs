//! Odds against published values. Numbers: O'Malley 2008, *J. Quant. Anal. Sports* 4(2); Newton & Keller 2005, *Stud.
//! Appl. Math.* 114; G(2/3) = 208/243: Trefethen 2023; importance: Morris 1977, "The most important points in tennis"
//! (from memory for the paper's own table; values recomputed exactly).

#![expect(clippy::unreadable_literal, reason = "values as published")]

use super::*;
use crate::tennis::End;
use crate::tennis::mark::Mark;
use crate::tennis::rules::SetRules;
use crate::tennis::scorer::Scorer;

/// Chance of winning a point on serve; of winning a game; of winning a no-ad game.
const GAMES: [(f64, f64, f64); 26] = [
    (0.5, 0.5, 0.5),
    (0.51, 0.5249850075968013, 0.5218662520998),
    (0.52, 0.5498802427910544, 0.5436800671744001),
    (0.53, 0.574596839826704, 0.5653892598626001),
    (0.54, 0.5990477303046106, 0.5869421471232),
    (0.55, 0.6231485024752477, 0.6082877968750001),
    (0.56, 0.6468182145211359, 0.6293762736128001),
    (0.57, 0.669980148522087, 0.6501588799913999),
    (0.58, 0.6925624934240249, 0.6705883933696),
    (0.59, 0.7144989472345602, 0.6906192963061999),
    (0.6, 0.7357292307692308, 0.7102080000000001),
    (0.61, 0.7561995074901182, 0.7293130596657998),
    (0.62, 0.77586270623177, 0.7478953808383999),
    (0.63, 0.7946787458198576, 0.7659184155966),
    (0.64, 0.8126146626848665, 0.7833483476991999),
    (0.65, 0.8296446444954129, 0.8001542656250001),
    (0.66, 0.8457499745346879, 0.8163083225088),
    (0.67, 0.860918892983435, 0.8317858819654),
    (0.68, 0.875146382431728, 0.8465656487936002),
    (0.69, 0.8884338858106955, 0.8606297835521999),
    (0.7, 0.9007889655172414, 0.873964),
    (0.71, 0.9122249128131927, 0.8865576443918001),
    (0.72, 0.9227603166369973, 0.8984037556223999),
    (0.73, 0.9324186007993397, 0.9094991052106),
    (0.74, 0.941227538176333, 0.9198442161152),
    (0.75, 0.94921875, 0.929443359375),
];

/// The same chance of winning a point on either serve; tie-break to 7, to 10, tie-break set, advantage set, best of
/// three, of five.
const EITHER_SERVE: [(f64, [f64; 6]); 10] = [
    (0.5, [0.5, 0.5, 0.5, 0.5, 0.5, 0.5]),
    (
        0.51,
        [
            0.5315513760916544,
            0.5370437253789311,
            0.5711790583103834,
            0.573396584031171,
            0.6060473359980771,
            0.6316685682347665,
        ],
    ),
    (
        0.52,
        [
            0.5629194085344419,
            0.5737864731619169,
            0.6401053330515988,
            0.6442605537677452,
            0.7046576030883493,
            0.7492704184195429,
        ],
    ),
    (
        0.53,
        [
            0.5939236745197253,
            0.6099340514072857,
            0.7047384449285801,
            0.7103308245818747,
            0.789943284394317,
            0.8431321078533003,
        ],
    ),
    (
        0.54,
        [
            0.6243895203671558,
            0.645205602417144,
            0.7634296576754909,
            0.7698385456965701,
            0.8585829870962425,
            0.9101384355966967,
        ],
    ),
    (
        0.55,
        [
            0.6541507671793689,
            0.6793396881120696,
            0.8150419926646901,
            0.8216402452584778,
            0.9100262353311683,
            0.9529824438604555,
        ],
    ),
    (
        0.6,
        [
            0.7874556612923076,
            0.8257644108251134,
            0.9634330807043872,
            0.966108804022034,
            0.9960863713903974,
            0.9995374761033079,
        ],
    ),
    (
        0.65,
        [
            0.8865740699134994,
            0.9224656519737842,
            0.9963918255507824,
            0.9966849533087963,
            0.9999610371805217,
            0.9999995327932679,
        ],
    ),
    (
        0.7,
        [
            0.9491020696620689,
            0.9730395797611826,
            0.9998322953673917,
            0.9998422866878187,
            0.999999915634902,
            0.9999999999528452,
        ],
    ),
    (
        0.75,
        [
            0.9817322731018067,
            0.9931856207549572,
            0.999996700709542,
            0.9999967981546984,
            0.9999999999673441,
            0.9999999999999997,
        ],
    ),
];

/// Against a server who wins 0.60: tie-break to 7, to 10, tie-break set, advantage set, short set, best of three, of five,
/// best of three with a match tie-break to 10.
const AGAINST_60: [(f64, [f64; 8]); 9] = [
    (
        0.5,
        [
            0.344938,
            0.31967890000000004,
            0.1873576066394147,
            0.17976638472011144,
            0.22936083001522478,
            0.09215503784186893,
            0.04866991251276151,
            0.13244812445476556,
        ],
    ),
    (
        0.55,
        [
            0.4204332013581633,
            0.4068496302996951,
            0.33052217543992424,
            0.3239131725876904,
            0.3567308711894038,
            0.25551899577437714,
            0.20572949994023415,
            0.2892980569885599,
        ],
    ),
    (
        0.6,
        [
            0.5,
            0.5,
            0.49999999999999994,
            0.49999999999999994,
            0.49999999999999994,
            0.4999999999999999,
            0.49999999999999983,
            0.4999999999999999,
        ],
    ),
    (
        0.62,
        [
            0.5325241849696962,
            0.5381193405192428,
            0.5679122891906654,
            0.5718811368940773,
            0.5573615030563769,
            0.6012420000972218,
            0.6257781254955833,
            0.5866203406287192,
        ],
    ),
    (
        0.64,
        [
            0.5652365380477345,
            0.5763382946997903,
            0.6327566778898621,
            0.6410165644037027,
            0.6128849321721611,
            0.6944555203663345,
            0.7374674489198803,
            0.6682350018014652,
        ],
    ),
    (
        0.65,
        [
            0.5816166783202128,
            0.5953990011344376,
            0.6634948023100147,
            0.6739021284843717,
            0.6396230346202736,
            0.7365015913642083,
            0.7854021481956444,
            0.7060941672647258,
        ],
    ),
    (
        0.66,
        [
            0.5979871408783939,
            0.614380245783092,
            0.6928841603642462,
            0.7053764884396115,
            0.6655269464158944,
            0.7749740004740362,
            0.827379095608795,
            0.7415634094551061,
        ],
    ),
    (
        0.7,
        [
            0.662973182747826,
            0.6887954461699273,
            0.794853784099104,
            0.8142545066813608,
            0.7591307475003817,
            0.891012234946572,
            0.9380513853731294,
            0.8564242254832135,
        ],
    ),
    (
        0.75,
        [
            0.7415340104166666,
            0.7757482221197918,
            0.8853853180074572,
            0.9085107741896438,
            0.8504533646004916,
            0.9636017013612139,
            0.9874134645722743,
            0.9413501605758011,
        ],
    ),
];

/// Chance of winning the point; score, server first; chance of winning the game; importance to the game.
const IMPORTANCE: [(f64, [u16; 2], f64, f64); 90] = [
    (0.5, [0, 0], 0.5, 0.3125),
    (0.5, [0, 1], 0.34375, 0.3125),
    (0.5, [0, 2], 0.1875, 0.25),
    (0.5, [0, 3], 0.0625, 0.125),
    (0.5, [1, 0], 0.65625, 0.3125),
    (0.5, [1, 1], 0.5, 0.375),
    (0.5, [1, 2], 0.3125, 0.375),
    (0.5, [1, 3], 0.125, 0.25),
    (0.5, [2, 0], 0.8125, 0.25),
    (0.5, [2, 1], 0.6875, 0.375),
    (0.5, [2, 2], 0.5, 0.5),
    (0.5, [2, 3], 0.25, 0.5),
    (0.5, [3, 0], 0.9375, 0.125),
    (0.5, [3, 1], 0.875, 0.25),
    (0.5, [3, 2], 0.75, 0.5),
    (0.5, [3, 3], 0.5, 0.5),
    (0.5, [4, 3], 0.75, 0.5),
    (0.5, [3, 4], 0.25, 0.5),
    (0.6, [0, 0], 0.7357292307692308, 0.26584615384615384),
    (0.6, [0, 1], 0.5762215384615385, 0.3456),
    (0.6, [0, 2], 0.36886153846153846, 0.36553846153846153),
    (0.6, [0, 3], 0.14953846153846154, 0.24923076923076923),
    (0.6, [1, 0], 0.8420676923076923, 0.21267692307692307),
    (0.6, [1, 1], 0.7144615384615385, 0.3323076923076923),
    (0.6, [1, 2], 0.5150769230769231, 0.4430769230769231),
    (0.6, [1, 3], 0.24923076923076923, 0.4153846153846154),
    (0.6, [2, 0], 0.9271384615384616, 0.13292307692307692),
    (0.6, [2, 1], 0.8473846153846154, 0.25846153846153846),
    (0.6, [2, 2], 0.6923076923076923, 0.46153846153846156),
    (0.6, [2, 3], 0.4153846153846154, 0.6923076923076923),
    (0.6, [3, 0], 0.9803076923076923, 0.04923076923076923),
    (0.6, [3, 1], 0.9507692307692308, 0.12307692307692308),
    (0.6, [3, 2], 0.8769230769230769, 0.3076923076923077),
    (0.6, [3, 3], 0.6923076923076923, 0.46153846153846156),
    (0.6, [4, 3], 0.8769230769230769, 0.3076923076923077),
    (0.6, [3, 4], 0.4153846153846154, 0.6923076923076923),
    (0.62, [0, 0], 0.77586270623177, 0.2473058626323752),
    (0.62, [0, 1], 0.6225330713996974, 0.3410217684720121),
    (0.62, [0, 2], 0.4110995749470499, 0.383632363086233),
    (0.62, [0, 3], 0.17324750983358547, 0.279431467473525),
    (0.62, [1, 0], 0.8698389340320726, 0.18986708163388805),
    (0.62, [1, 1], 0.752121343419062, 0.3149055975794251),
    (0.62, [1, 2], 0.5568798729198184, 0.44749742813918303),
    (0.62, [1, 3], 0.279431467473525, 0.45069591527987896),
    (0.62, [2, 0], 0.9419884250529501, 0.11323057186081695),
    (0.62, [2, 1], 0.8717854704992436, 0.23363963691376702),
    (0.62, [2, 2], 0.726928895612708, 0.4455370650529501),
    (0.62, [2, 3], 0.45069591527987896, 0.726928895612708),
    (0.62, [3, 0], 0.9850160423600605, 0.03943146747352496),
    (0.62, [3, 1], 0.960568532526475, 0.10376701966717096),
    (0.62, [3, 2], 0.896232980332829, 0.273071104387292),
    (0.62, [3, 3], 0.726928895612708, 0.4455370650529501),
    (0.62, [4, 3], 0.896232980332829, 0.273071104387292),
    (0.62, [3, 4], 0.45069591527987896, 0.726928895612708),
    (0.65, [0, 0], 0.8296446444954129, 0.21604673165137614),
    (0.65, [0, 1], 0.6892142689220183, 0.3271564793577982),
    (0.65, [0, 2], 0.4765625573394495, 0.4056387614678899),
    (0.65, [0, 3], 0.2128973623853211, 0.32753440366972475),
    (0.65, [1, 0], 0.9052610005733945, 0.15621840596330275),
    (0.65, [1, 1], 0.8037190366972478, 0.2848967889908257),
    (0.65, [1, 2], 0.618536123853211, 0.44769495412844035),
    (0.65, [1, 3], 0.32753440366972475, 0.5038990825688073),
    (0.65, [2, 0], 0.9599374426605505, 0.08693004587155963),
    (0.65, [2, 1], 0.9034329128440367, 0.1972362385321101),
    (0.65, [2, 2], 0.7752293577981652, 0.41743119266055045),
    (0.65, [2, 3], 0.5038990825688073, 0.7752293577981652),
    (0.65, [3, 0], 0.9903629587155963, 0.02753440366972477),
    (0.65, [3, 1], 0.9724655963302752, 0.0786697247706422),
    (0.65, [3, 2], 0.9213302752293578, 0.22477064220183487),
    (0.65, [3, 3], 0.7752293577981652, 0.41743119266055045),
    (0.65, [4, 3], 0.9213302752293578, 0.22477064220183487),
    (0.65, [3, 4], 0.5038990825688073, 0.7752293577981652),
    (0.4, [0, 0], 0.26427076923076925, 0.26584615384615384),
    (0.4, [0, 1], 0.1579323076923077, 0.21267692307692307),
    (0.4, [0, 2], 0.07286153846153846, 0.13292307692307692),
    (0.4, [0, 3], 0.019692307692307693, 0.04923076923076923),
    (0.4, [1, 0], 0.42377846153846155, 0.3456),
    (0.4, [1, 1], 0.2855384615384615, 0.3323076923076923),
    (0.4, [1, 2], 0.15261538461538462, 0.25846153846153846),
    (0.4, [1, 3], 0.04923076923076923, 0.12307692307692308),
    (0.4, [2, 0], 0.6311384615384615, 0.36553846153846153),
    (0.4, [2, 1], 0.4849230769230769, 0.4430769230769231),
    (0.4, [2, 2], 0.3076923076923077, 0.46153846153846156),
    (0.4, [2, 3], 0.12307692307692308, 0.3076923076923077),
    (0.4, [3, 0], 0.8504615384615385, 0.24923076923076923),
    (0.4, [3, 1], 0.7507692307692307, 0.4153846153846154),
    (0.4, [3, 2], 0.5846153846153846, 0.6923076923076923),
    (0.4, [3, 3], 0.3076923076923077, 0.46153846153846156),
    (0.4, [4, 3], 0.5846153846153846, 0.6923076923076923),
    (0.4, [3, 4], 0.12307692307692308, 0.3076923076923077),
];

fn close(found: f64, want: f64, what: &str) {
    assert!((found - want).abs() < 1e-9, "{what}: found {found}, want {want}");
}

fn at_start(rules: Rules, serve: [f64; 2], server: Side) -> f64 {
    let state = Scorer::singles(rules, server, End::Near).state();
    Odds::new(rules, serve).unwrap().wins_match(&state).unwrap()
}

fn named(name: &str, serve: [f64; 2]) -> f64 {
    // Who serves first makes no difference in these formats (Newton & Keller 2005).
    let [a, b] = [Side::A, Side::B].map(|s| at_start(Rules::named(name).unwrap(), serve, s));
    close(a, b, name);
    a
}

fn from(rules: Rules, games: [u16; 2], points: [u16; 2]) -> PointState {
    let mut scorer = Scorer::singles(rules, Side::A, End::Near);
    assert_eq!(scorer.mark(&Mark { games, points, ..Mark::default() }, false), None);
    scorer.state()
}

#[test]
fn games_equal_the_published_values() {
    let no_ad = Rules::named("no-ad-best-of-3").unwrap();
    for (p, game, decided) in GAMES {
        for (rules, want) in [(Rules::best_of_three(), game), (no_ad, decided)] {
            let odds = Odds::new(rules, [p, 0.5]).unwrap();
            close(odds.wins_game(&from(rules, [0, 0], [0, 0])).unwrap(), want, "game");
            let odds = Odds::new(rules, [0.5, p]).unwrap();
            close(1.0 - odds.wins_game(&from(rules, [1, 0], [0, 0])).unwrap(), want, "game on B's serve");
        }
    }
    let odds = Odds::new(Rules::best_of_three(), [2.0 / 3.0, 0.5]).unwrap();
    close(odds.wins_game(&from(Rules::best_of_three(), [0, 0], [0, 0])).unwrap(), 208.0 / 243.0, "G(2/3)");
}

const SIX: [&str; 6] =
    ["match-tie-break-7", "match-tie-break-10", "one-set", "one-set-advantage", "best-of-3", "best-of-5"];
const EIGHT: [&str; 8] = [
    "match-tie-break-7",
    "match-tie-break-10",
    "one-set",
    "one-set-advantage",
    "one-short-set",
    "best-of-3",
    "best-of-5",
    "best-of-3-match-tie-break-10",
];

#[test]
fn sets_and_matches_equal_the_published_values() {
    for (p, want) in EITHER_SERVE {
        for (name, want) in SIX.into_iter().zip(want) {
            close(named(name, [p, 1.0 - p]), want, name);
        }
    }
    for (p, want) in AGAINST_60 {
        for (name, want) in EIGHT.into_iter().zip(want) {
            close(named(name, [p, 0.6]), want, name);
        }
    }
}

#[test]
fn importance_in_a_game_equals_the_published_values() {
    let rules = Rules::best_of_three();
    for (p, points, game, importance) in IMPORTANCE {
        let odds = Odds::new(rules, [p, 0.55]).unwrap();
        let state = from(rules, [0, 0], points);
        close(odds.wins_game(&state).unwrap(), game, "chance of the game");
        close(odds.game_importance(&state).unwrap(), importance, "importance");
    }
}

/// Importance to the match at 4–4, 30–40 in the first of three sets, 0.6 on both serves: 9/52.
#[test]
fn importance_in_a_match_equals_the_published_value() {
    let rules = Rules::best_of_three();
    let odds = Odds::usual(rules).unwrap();
    close(odds.importance(&from(rules, [4, 4], [2, 3])).unwrap(), 9.0 / 52.0, "importance");
}

/// The derivative of the game's odds, by a difference, is the sum of importance over the points expected: 44064/21125 at
/// 0.6 (recomputed exactly from Morris 1977).
#[test]
fn the_slope_of_a_game_is_as_published() {
    let rules = Rules::best_of_three();
    let game = |p: f64| Odds::new(rules, [p, 0.5]).unwrap().wins_game(&from(rules, [0, 0], [0, 0])).unwrap();
    let slope = (game(0.6 + 1e-6) - game(0.6 - 1e-6)) / 2e-6;
    assert!((slope - 44064.0 / 21125.0).abs() < 1e-6, "{slope}");
}

/// A game walked through point by point, 0.6 on serve, each score with the chance of standing there: deuce is reached with
/// chance 864/3125, a game has 52684/8125 points, and importance adds up to the slope 44064/21125 (Morris 1977, recomputed
/// exactly).
#[test]
fn a_game_walked_through_is_as_published() {
    let rules = Rules::best_of_three();
    let odds = Odds::new(rules, [0.6, 0.5]).unwrap();
    let mut here = vec![(1.0, Scorer::singles(rules, Side::A, End::Near))];
    let (mut deuce, mut points, mut slope) = (0.0, 0.0, 0.0);
    for played in 0..400 {
        let mut next: Vec<(f64, Scorer)> = Vec::new();
        for (chance, scorer) in here {
            let state = scorer.state();
            points += chance;
            slope += chance * odds.game_importance(&state).unwrap();
            deuce += if played == 6 && state.called == Called::Deuce { chance } else { 0.0 };
            for (side, p) in [(Side::A, 0.6), (Side::B, 0.4)] {
                let mut after = scorer.clone();
                after.award(side);
                match next.iter_mut().find(|(_, other)| *other == after) {
                    _ if after.games() != [0, 0] => {}
                    Some((sum, _)) => *sum += chance * p,
                    None => next.push((chance * p, after)),
                }
            }
        }
        here = next;
    }
    close(deuce, 864.0 / 3125.0, "chance of deuce");
    close(points, 52684.0 / 8125.0, "points of a game");
    close(slope, 44064.0 / 21125.0, "slope");
}

/// Odds of every preset by playing it out: the chance before a point is the mean of the chances after it, at every
/// score of random matches, and a match won has chance one.
#[test]
fn a_chance_is_the_mean_of_the_chances_after_the_point() {
    let mut dice = 7u64;
    for preset in crate::tennis::presets::PRESETS {
        for deuce in [Deuce::Advantage, Deuce::NoAd] {
            let rules = Rules { deuce, ..preset.rules };
            let Some(odds) = Odds::new(rules, [0.63, 0.57]) else { continue };
            for _ in 0..3 {
                let mut scorer = Scorer::singles(rules, Side::B, End::Far);
                while !scorer.finished() {
                    let state = scorer.state();
                    let p = if state.server == Side::A { 0.63 } else { 0.43 };
                    let after = [Side::A, Side::B].map(|side| {
                        let mut next = scorer.clone();
                        next.award(side);
                        next
                    });
                    let [won, lost] = [&after[0], &after[1]].map(|next| match next.winner() {
                        Some(side) => f64::from(u8::from(side == Side::A)),
                        None => odds.wins_match(&next.state()).unwrap(),
                    });
                    close(odds.wins_match(&state).unwrap(), p * won + (1.0 - p) * lost, preset.name);
                    close(odds.importance(&state).unwrap(), won - lost, preset.name);
                    dice =
                        dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                    scorer = if dice >> 63 == 0 { after[0].clone() } else { after[1].clone() };
                }
                assert_eq!(odds.wins_match(&scorer.state()), None);
            }
        }
    }
}

#[test]
fn without_a_score_or_a_chance_there_are_no_odds() {
    assert!(Odds::usual(Rules::drill()).is_none());
    assert!(Odds::new(Rules::best_of_three(), [1.0, 0.5]).is_none());
    assert!(Odds::new(Rules::best_of_three(), [0.5, f64::NAN]).is_none());
    let wrong = Rules::of(2, SetRules { games: 6, tie_break: None });
    assert!(Odds::usual(wrong).is_none());
}

#[test]
fn games_are_looked_up_as_they_are_worked_out() {
    for (deuce, rules) in [(Deuce::Advantage, "best-of-3"), (Deuce::NoAd, "no-ad-best-of-3")] {
        let odds = Odds::new(Rules::named(rules).unwrap(), [0.61, 0.47]).unwrap();
        assert_eq!(odds.whole.rules.deuce, deuce);
        for (side, points) in
            [Side::A, Side::B].into_iter().flat_map(|s| (0..49).map(move |n| (s, [n / 7, n % 7])))
        {
            let at = Place { won: [0; 2], games: [0; 2], points, server: side };
            let (i, p) = (side.index(), odds.whole.serve[side.index()]);
            let held = held(deuce, p, [points[i], points[1 - i]]);
            let wanted = if side == Side::A { held } else { 1.0 - held };
            assert!(odds.whole.game(at).to_bits() == wanted.to_bits(), "{side:?} {points:?}");
        }
    }
}

#[test]
fn the_odds_kept_are_those_of_the_rules_asked_for() {
    let formats: Vec<Rules> = (2..30)
        .map(|games| {
            let set = SetRules { games, tie_break: None };
            Rules { set, ..Rules::default() }
        })
        .collect();
    let start = |rules| Scorer::singles(rules, Side::A, End::Near).state();
    for rules in formats.iter().chain(&formats).copied().filter(|r| r.check().is_ok()) {
        let anew = Odds::new(rules, [USUAL; 2]).unwrap().importance(&start(rules));
        assert_eq!(Odds::usual(rules).unwrap().importance(&start(rules)), anew);
    }
    assert!(Odds::usual(Rules::drill()).is_none());
}
