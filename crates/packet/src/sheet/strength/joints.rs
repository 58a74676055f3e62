//! Welded ends: the joints used most, and the welds that must be thickest, over all loads.

use review::Text;
use strength::{Answer, Loaded, Welded};

use super::super::layout::{SMALL, Sheets, number, prose, word};
use super::super::page::Ink;
use super::percent;

/// Rows of each table.
const ROWS: usize = 10;

/// Both tables, and why ends were not checked.
pub fn tables(s: &mut Sheets, a: &Answer, t: &Text) {
    if a.joints.iter().all(|w| w.loads.is_empty()) {
        return;
    }
    let checked = a.joints.iter().filter(|w| w.loads.iter().any(|l| l.checked.is_some())).count();
    s.start(super::TITLE);
    s.heading("Welded joints");
    let text = format!(
        "Does the wall hold that a tube stands on? {checked} of {} welded ends are within what EN 1993-1-8, section 7, covers, each told \
         under the load that uses it most; of the others nothing is known here. The formulas are from memory: check what matters \
         against the standard.",
        a.joints.len()
    );
    s.paragraph(&text, SMALL, Ink::Grey);
    resistances(s, a, t);
    refused(s, a);
    welds(s, a, t);
}

fn worst(w: &Welded) -> Option<(&Loaded, f64, bool)> {
    let used = w.loads.iter().filter_map(|l| l.used().map(|(u, whole)| (l, u, whole)));
    used.max_by(|a, b| a.1.total_cmp(&b.1))
}

fn resistances(s: &mut Sheets, a: &Answer, t: &Text) {
    let mut list: Vec<(&Welded, &Loaded, f64, bool)> =
        a.joints.iter().filter_map(|w| worst(w).map(|(l, u, whole)| (w, l, u, whole))).collect();
    if list.is_empty() {
        return;
    }
    list.sort_by(|a, b| b.2.total_cmp(&a.2));
    let mut columns = [
        prose("joint used most"),
        prose("tube and end"),
        prose("on"),
        prose("under load"),
        number("force"),
        number("bears"),
        prose("would fail by"),
        number("use"),
        word(""),
    ];
    if t.force_unit() != "N" {
        (columns[4], columns[5]) = (number("force lbf"), number("bears lbf"));
    } else {
        (columns[4], columns[5]) = (number("force N"), number("bears N"));
    }
    let rows: Vec<Vec<String>> = list
        .iter()
        .take(ROWS)
        .filter_map(|&(w, l, used, whole)| {
            let p = l.checked.as_ref()?.worst()?;
            Some(vec![
                w.joint.clone(),
                format!("{}, {}", w.tube, w.end),
                w.chord.clone().unwrap_or_default(),
                l.load.clone(),
                t.force(l.force),
                t.force(p.governing.value),
                p.governing.mode.words().to_owned(),
                percent(used),
                match (used > 1.0, whole) {
                    (true, _) => "over".to_owned(),
                    (false, true) => "within".to_owned(),
                    (false, false) => "force alone".to_owned(),
                },
            ])
        })
        .collect();
    s.table(&columns, &rows, SMALL);
    let text = "Use counts moments, too, where a formula covers them; `force alone` where none does. Force: tension; negative: pressed.";
    s.paragraph(text, SMALL, Ink::Grey);
}

/// Why ends were not checked, and how many for each reason.
fn refused(s: &mut Sheets, a: &Answer) {
    let mut reasons: Vec<(&str, String, &str, Vec<&str>)> = Vec::new();
    for w in a.joints.iter().filter(|w| w.loads.iter().all(|l| l.checked.is_none())) {
        let why = w.not_checked.as_ref().or_else(|| w.loads.iter().find_map(|l| l.not_checked.as_ref()));
        let Some(n) = why else { continue };
        match reasons.iter_mut().find(|x| x.0 == n.kind) {
            Some(x) => x.3.push(&w.joint),
            None => reasons.push((n.kind, format!("{}; at the first: {}", n.kind, n.why), n.clause, vec![&w.joint])),
        }
    }
    if reasons.is_empty() {
        return;
    }
    reasons.sort_by_key(|x| std::cmp::Reverse(x.3.len()));
    let rows: Vec<Vec<String>> = reasons
        .into_iter()
        .map(|(_, why, clause, mut at)| {
            let count = at.len();
            at.dedup();
            let names = at.iter().take(6).copied().collect::<Vec<_>>().join(", ");
            let more = if at.len() > 6 { format!(" and {} joints more", at.len() - 6) } else { String::new() };
            vec![why, count.to_string(), clause.to_owned(), format!("{names}{more}")]
        })
        .collect();
    s.heading("Welded ends that are not checked");
    s.table(&[prose("why"), number("ends"), prose("clause"), prose("at")], &rows, SMALL);
}

fn welds(s: &mut Sheets, a: &Answer, t: &Text) {
    let mut list: Vec<(&Welded, &Loaded)> = a
        .joints
        .iter()
        .filter_map(|w| Some((w, w.loads.iter().max_by(|a, b| a.throat.total_cmp(&b.throat))?)))
        .collect();
    let share = |x: &(&Welded, &Loaded)| x.1.throat / x.0.full;
    list.sort_by(|a, b| share(b).total_cmp(&share(a)));
    s.heading("Welds");
    let text = format!(
        "Throats of fillets all round by EN 1993-1-8, 4.5.3.3, in {}, under the load that asks for most; the standard counts none under \
         3 mm. The welds that must come nearest to the strength of their tube.",
        t.unit()
    );
    s.paragraph(&text, SMALL, Ink::Grey);
    let rows: Vec<Vec<String>> = list
        .iter()
        .take(ROWS)
        .map(|(w, l)| {
            vec![
                w.joint.clone(),
                format!("{}, {}", w.tube, w.end),
                l.load.clone(),
                t.fine_number(w.wall),
                t.fine_number(l.throat),
                t.fine_number(w.full),
            ]
        })
        .collect();
    let columns = [
        prose("weld at"),
        prose("tube and end"),
        prose("under load"),
        number("wall"),
        number("throat for it"),
        number("as strong as the tube"),
    ];
    s.table(&columns, &rows, SMALL);
}
