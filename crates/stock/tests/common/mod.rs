//! Shorthand for tests: one section, lengths in whole millimetres.

use stock::{Piece, Plan, Settings, StickKind, check, plan};

/// Pieces of section `bar`, in mm.
pub fn pieces(lengths: &[u64]) -> Vec<Piece> {
    lengths
        .iter()
        .enumerate()
        .map(|(order, &length)| Piece {
            name: format!("p{order}"),
            section: "bar".into(),
            length: length as f64 / 1000.0,
            order,
            ..Piece::default()
        })
        .collect()
}

/// A stick of section `bar`, in mm.
pub fn stick(length: u64, count: Option<u32>, price: f64) -> StickKind {
    StickKind { section: "bar".into(), length: length as f64 / 1000.0, count, price, ..StickKind::default() }
}

/// No kerf, no trim.
pub const BARE: Settings = Settings::saw(0.0, 0.0);

/// A plan that has passed the check.
pub fn checked(pieces: &[Piece], sticks: &[StickKind], settings: &Settings) -> Plan {
    let plan = plan(pieces, sticks, settings);
    if let Err(wrong) = check(&plan, pieces, sticks, settings) {
        panic!("{wrong:#?}\n{plan:#?}");
    }
    plan
}
