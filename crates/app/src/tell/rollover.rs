//! What happens when it goes over?

use review::over::{self, Case};
use review::{Review, Text};
use rollover::under_run::UnderRunEnd;
use rollover::{Kind, Side};
use shape::openings::FLAT;

use super::{held, number, row, table, text};
use crate::wire::{Act, Cell, Page, Table, Word};

const CAUTION: &str = "Rest attitudes are a quasi-static argument on rigid bodies, tumbles those of one rigid body: neither is a crash \
test. Local rules and a licensed engineer prevail.";

pub fn page(r: &Review, t: &Text) -> Page {
    let mut tables = Vec::new();

    match &r.over.whole {
        None => {
            tables.extend(case(t, &r.over.hard, "Rest attitudes"));
        }
        Some(whole) => {
            tables.extend(case(t, &r.over.hard, "Rest attitudes, what gives way has given way"));
            tables.extend(case(t, whole, "Rest attitudes, everything holds"));
        }
    }
    tables.push(edges(r, t));
    tables.push(tumbles(r));
    super::page(Word::Rollover, "What happens when it goes over?", told(&r.over.hard), tables, &[CAUTION])
}

fn told(c: &Case) -> String {
    match (&c.rollover, &c.refused) {
        (Some(a), _) => format!("It can come to rest in {} ways.", a.attitudes.len()),
        (None, Some(why)) => format!("No rest attitudes: {why}."),
        (None, None) => String::new(),
    }
}

fn case(t: &Text, case: &Case, head: &str) -> Vec<Table> {
    let Some(answer) = &case.rollover else { return Vec::new() };
    let u = t.unit();
    let ground = |a: &rollover::Attitude| a.foot.dot(a.normal);
    let attitudes = answer.attitudes.iter().zip(&case.rooms).enumerate().map(|(k, (a, room))| {
        let near = |soft: bool| {
            over::nearest(&room.people, soft).map_or(number(""), |(_, p)| {
                let d = p.over(soft);
                held(t.length(d), d < 0.0)
            })
        };
        let manner = match (a.kind, a.marginal) {
            (Kind::Rocks, _) if a.shallow => " (rocks, hardly)",
            (Kind::Flat, false) => "",
            (Kind::Flat, true) => " (marginal)",
            (Kind::Rocks, _) => " (rocks)",
            (Kind::Rolls, _) => " (rolls)",
        };
        let way = room.ways.first().map_or(text(""), |w| {
            let flat = if w.off > FLAT { " (not flat)" } else { "" };
            if w.passes { text(format!("{}{flat}", w.opening)) } else { Cell::Over("none".to_owned()) }
        });
        let least = a.edges.iter().map(|e| e.energy).fold(f64::INFINITY, f64::min);
        let cells = vec![
            number((k + 1).to_string()),
            text(format!("{}{manner}", room.words)),
            number(format!("{:.0} %", 100.0 * a.share)),
            number(a.margin.map_or(String::new(), |m| t.length(m))),
            number(if least.is_finite() { t.energy(least) } else { String::new() }),
            near(false),
            near(true),
            way,
        ];
        let act = Act::Turn {
            words: "lay it so".to_owned(),
            down: a.normal.to_array(),
            ground: ground(a),
            way: vec![a.normal.to_array()],
        };
        row(format!("attitude {}", k + 1), cells).tubes(a.contacts.iter().map(|c| c.body.clone())).act(Some(act))
    });
    let paths = answer.paths.iter().filter_map(|p| {
        let way = match p.side {
            Side::Left => "over its left side",
            Side::Right => "over its right side",
            Side::Nose => "over its nose",
            Side::Tail => "over its tail",
        };
        let steps: Vec<String> = p
            .steps
            .iter()
            .map(|s| {
                let needed = if s.needed > 0.5 { format!("{}, then ", t.energy(s.needed)) } else { String::new() };
                let at = s.attitude.map_or_else(|| "past a side".to_owned(), |a| format!("no {}", a + 1));
                format!("{needed}{at}")
            })
            .collect();
        let a = answer.attitudes.get(p.rests)?;
        let act = Act::Turn {
            words: "roll it over".to_owned(),
            down: a.normal.to_array(),
            ground: ground(a),
            way: p.steps.iter().map(|s| s.normal.to_array()).collect(),
        };
        let first: f64 = p.steps.first().map_or(0.0, |s| s.needed);
        let cells = vec![
            text(way),
            text(p.over.join(" and ")),
            number(t.energy(first)),
            text(steps.join("; ")),
            number((p.rests + 1).to_string()),
        ];
        Some(row(format!("path {way} {}", p.over.join(" ")), cells).act(Some(act)))
    });
    let holds = answer.sensitivity.holds.map_or(String::new(), |h| {
        format!("The list stands as long as the centre of gravity is known to {}.", t.fine(h))
    });
    vec![
        table(
            "attitudes",
            head,
            &[
                "no",
                "it rests",
                "share",
                &format!("margin {u}"),
                "to leave",
                &format!("people to hard ground {u}"),
                &format!("to soft {u}"),
                "way out",
            ],
            attitudes.collect(),
        )
        .note(format!(
            "Share: of all attitudes in which it may be dropped. Margin: how far the centre of gravity may move before it tips on. \
             {holds}"
        )),
        table("paths", "Ways over", &["", "across", "energy needed", "it passes", "rests as no"], paths.collect()),
    ]
}

fn edges(r: &Review, t: &Text) -> Table {
    let u = t.unit();
    let rows = r.edge.iter().flatten().flatten().enumerate().map(|(k, w)| {
        let it = match &w.end {
            UnderRunEnd::Passes => text("passes over"),
            UnderRunEnd::Catches(m) => text(format!("catches on {}", m.body)),
        };
        let meets = w.meets.as_ref().map_or(text("nobody"), |m| Cell::Over(m.room.clone()));
        let cells = vec![
            number(w.lateral.map_or("whole width".to_owned(), |y| t.length(y))),
            number(t.length(w.height)),
            it,
            number(t.length(w.led_up)),
            number(w.helmet.as_ref().map_or(String::new(), |h| t.length(h.gap))),
            meets,
        ];
        row(format!("edge {k}"), cells)
    });
    let head = [
        &format!("left {u}"),
        &format!("height {u}"),
        "it",
        &format!("led up {u}"),
        &format!("over helmets {u}"),
        "meets",
    ];
    table("edges", "An edge that comes over the nose", &head.map(|h| -> &str { h }), rows.collect())
        .note("It keeps its height unless it is led upward, and catches where it would stick by friction.")
}

fn tumbles(r: &Review) -> Table {
    let rows = r.over.tumbled.iter().flat_map(|tumbled| {
        let share = |count: u32| {
            let [share, error] = tumbled.share(count);
            number(format!("{:.1} ± {:.1} %", 100.0 * share, 100.0 * error))
        };
        let ended = tumbled.tumbles.ended.iter().zip(&r.over.hard.rooms).enumerate().map(move |(k, (n, room))| {
            row(
                format!("ended {}", k + 1),
                vec![number((k + 1).to_string()), text(&room.words), number(n.to_string()), share(*n)],
            )
        });
        let more = [
            ("in no rest attitude", tumbled.tumbles.elsewhere),
            ("still moving after 15 s", tumbled.tumbles.moving),
            ("hard ground came into somebody's room", tumbled.tumbles.touched),
            ("soft ground would have", tumbled.tumbles.touched_soft),
        ];
        let more = more
            .into_iter()
            .filter(|m| m.1 > 0)
            .map(move |(words, n)| row(words, vec![number(""), text(words), number(n.to_string()), share(n)]));
        ended.chain(more).collect::<Vec<_>>()
    });
    table("tumbles", "How tumbles ended", &["no", "", "times", "share"], rows.collect())
}
