//! The weight ledger: kilograms against what they buy.

use serde::Serialize;

use crate::losses::Loss;

/// A tube in the ledger.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    /// The tube, with its twin if it has one.
    pub tube: String,
    /// Whether it has one.
    pub twin: bool,
    /// kg.
    pub mass: f64,
    /// Part of the mass of all tubes.
    pub share: f64,
    /// What the frame would lose without it, for each of [`Ledger::buys`], as a part of what it has; `None`: its hold.
    pub buys: Option<Vec<f64>>,
    /// The largest of these for each kilogram.
    pub per_kg: Option<f64>,
}

/// Kilograms against what they buy.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Ledger {
    /// What is bought: stiffness in torsion and in bending (without a rig, against each load), and `use`: by how much the
    /// largest use stays lower.
    pub buys: Vec<String>,
    /// The tubes, the heaviest first.
    pub rows: Vec<Row>,
    /// Those that buy least for each kilogram, the first to go first.
    pub first_to_go: Vec<String>,
}

/// How many are named as the first to go.
const FIRST: usize = 5;

/// Puts tubes in order of their mass. `now`: the largest use as it is.
pub(crate) fn ledger(aims: &[String], now: Option<f64>, losses: &[Loss]) -> Ledger {
    let rigs: Vec<usize> = (0..aims.len()).filter(|&k| aims[k] == "torsion" || aims[k] == "bending").collect();
    let counted: Vec<usize> = if rigs.is_empty() { (0..aims.len()).collect() } else { rigs };
    let mut buys: Vec<String> = counted.iter().map(|&k| aims[k].clone()).collect();
    buys.extend(now.map(|_| "use".to_owned()));
    let whole: f64 = losses.iter().map(|l| l.mass).sum();
    let mut rows: Vec<Row> = losses
        .iter()
        .map(|l| {
            let bought = l.losses.as_ref().map(|all| {
                let mut b: Vec<f64> = counted.iter().map(|&k| all[k]).collect();
                b.extend(now.zip(l.used).map(|(n, u)| if n > 0.0 { u / n - 1.0 } else { 0.0 }));
                b
            });
            let per_kg = bought.as_ref().map(|b| b.iter().fold(0.0f64, |m, x| m.max(*x)) / l.mass);
            Row { tube: l.tube.clone(), twin: l.twin, mass: l.mass, share: l.mass / whole, buys: bought, per_kg }
        })
        .collect();
    let mut order: Vec<&Row> = rows.iter().filter(|r| r.per_kg.is_some()).collect();
    order.sort_by(|a, b| a.per_kg.unwrap_or(0.0).total_cmp(&b.per_kg.unwrap_or(0.0)).then(b.mass.total_cmp(&a.mass)));
    let first_to_go = order.into_iter().take(FIRST).map(|r| r.tube.clone()).collect();
    rows.sort_by(|a, b| b.mass.total_cmp(&a.mass));
    Ledger { buys, rows, first_to_go }
}
