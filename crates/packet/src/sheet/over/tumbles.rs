//! Tumbles: how often it ends how.

use review::over::Tumbled;
use review::{Review, Text};
use rollover::Rollover;

use super::super::layout::{BODY, SMALL, Sheets, number, prose, word};
use super::super::page::Ink;
use super::manner;

/// All rests in a table, with how often tumbles end in them; and how often people were touched.
pub fn table(s: &mut Sheets, r: &Review, t: &Text, answer: &Rollover) {
    s.need(50.0);
    s.heading("All rests, and how tumbles end");
    let tumbled = r.over.tumbled.as_ref();
    let ended = |count: u32| tumbled.map_or("not run".to_owned(), |x| share(x, count));
    let mut rows: Vec<Vec<String>> = Vec::new();
    for (k, (a, room)) in answer.attitudes.iter().zip(&r.over.hard.rooms).enumerate() {
        let energy = a.edges.iter().map(|e| e.energy).fold(f64::INFINITY, f64::min);
        let count = tumbled.and_then(|x| x.tumbles.ended.get(k)).copied().unwrap_or(0);
        let way = room.ways.first().map_or("-".to_owned(), |w| match (w.passes, w.off > shape::openings::FLAT) {
            (true, false) => w.opening.clone(),
            (true, true) => format!("{} (not flat)", w.opening),
            _ => "none".to_owned(),
        });
        rows.push(vec![
            (k + 1).to_string(),
            format!("{}{}", room.words, manner(a)),
            a.margin.map_or("-".into(), |m| t.length_unit(m)),
            if energy.is_finite() { t.energy(energy) } else { "-".into() },
            way,
            format!("{:.1} %", 100.0 * a.share),
            ended(count),
        ]);
    }
    if let Some(x) = tumbled {
        for (words, count) in
            [("in no rest attitude", x.tumbles.elsewhere), ("still moving after 15 s", x.tumbles.moving)]
        {
            if count > 0 {
                let mut row = vec![String::new(), words.to_owned()];
                row.resize(6, String::new());
                row.push(ended(count));
                rows.push(row);
            }
        }
    }
    let columns = [
        number("no"),
        prose("it rests"),
        number("margin"),
        number("to leave"),
        word("way out"),
        number("dropped"),
        number("tumbled"),
    ];
    s.table(&columns, &rows, BODY);
    let text = match tumbled {
        None => "Dropped: share of all attitudes in which it may be dropped without spin. Tumbles were not run: `tubewright packet \
                 DESIGN --tumbles 10000` puts their shares here."
            .to_owned(),
        Some(x) => told(x, r, t),
    };
    s.paragraph(&text, if tumbled.is_some() { BODY } else { SMALL }, Ink::Black);
}

/// A share with its standard error. Of what never happened neither is known.
fn share(x: &Tumbled, count: u32) -> String {
    if count == 0 {
        return format!("none of {}", x.tumbles.runs);
    }
    let [share, error] = x.share(count);
    format!("{:.1} ± {:.1} %", 100.0 * share, 100.0 * error)
}

fn told(x: &Tumbled, r: &Review, t: &Text) -> String {
    let who = |soft: bool| {
        let list: Vec<String> =
            x.touched(soft).into_iter().take(4).map(|(who, part, n)| format!("{who}'s {part} {n}")).collect();
        if list.is_empty() { String::new() } else { format!(" (most often {})", list.join(", ")) }
    };
    format!(
        "Tumbled: {} random tumbles, seed {}, each share with its standard error, {:.1} quarter turns each. Hard ground came into \
         somebody's room in {}{}; ground {} soft would have in {}{}.",
        x.tumbles.runs,
        x.tumbles.seed,
        x.tumbles.quarter_turns,
        share(x, x.tumbles.touched),
        who(false),
        t.length_unit(r.over.soft),
        share(x, x.tumbles.touched_soft),
        who(true)
    )
}
