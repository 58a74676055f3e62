//! `stock`: which stick does each piece come from?

use std::path::Path;
use std::process::ExitCode;

use cutting::Detail;
use review::{Text, steel};
use serde::Serialize;
use stock::{Plan, Reach, Settings};
use strength::Depth;

use crate::load;
use crate::table::{table, wrap};

/// What `--json` tells.
#[derive(Serialize)]
struct Told<'a> {
    #[serde(flatten)]
    plan: &'a Plan,
    /// How far the sticks go that are here today; nothing if no piece can be planned.
    today: Option<Reach>,
}

/// Prints the cutting plan, what to buy, and how far today's steel goes.
pub fn run(path: &Path, as_json: bool) -> Result<ExitCode, String> {
    // As finely as the packet: where several plans cost the same, a micrometre's difference of lengths chooses another one.
    let (_, mut r) = load::review(path, Detail::SHEET, Depth::Live)?;
    let made = app::made::beside(path, &r)?;
    r.steel.settings.limit = Settings::FULL;
    r.made(&made);
    let today = r.steel.reach().ok();
    if as_json {
        load::json(&Told { plan: &r.stock, today })?;
        return Ok(ExitCode::SUCCESS);
    }
    let t = Text::new(&r.shape.design);
    let currency = &r.shape.design.rack.currency;
    let mut out = String::new();
    if !made.cut.is_empty() {
        let cut = review::text::counted(made.cut.len(), "piece");
        out += &format!("by the shop's record {cut} of {} cut already\n", r.cutting.pieces.len());
    }
    for s in &r.stock.sections {
        let count = match s.sticks.len() {
            0 => "no stick".to_owned(),
            1 => "1 stick".to_owned(),
            n => format!("{n} sticks"),
        };
        out += &format!("\n{}: {count} for {} of pieces", s.section, t.length_unit(s.piece_length));
        if s.bound.is_some() {
            out += &format!("; {}", steel::proof(s, currency));
        }
        out += "\n";
        out += &table(
            &["stick", &format!("length {}", t.unit()), "from", "pieces, in the order of cutting", "left over"],
            &[1, 4],
            s.sticks.iter().map(|k| {
                let cuts = steel::cuts(k, |m| t.length(m));
                vec![k.mark.clone(), t.length(k.length), steel::from(k), wrap(&cuts, ", ", 72), t.length(k.offcut)]
            }),
        );
        for &u in &s.unplaced {
            out += &format!("no stick for {}: {}\n", r.steel.wanted[u].name, t.length_unit(r.steel.wanted[u].length));
        }
    }
    if !r.stock.purchases.is_empty() {
        out += "\nto buy\n";
        out += &table(
            &["section", &format!("length {}", t.unit()), "count", "each", "cost", "from"],
            &[1, 2, 3, 4],
            r.stock.purchases.iter().map(|p| {
                vec![
                    p.section.clone(),
                    t.length(p.length),
                    p.count.to_string(),
                    format!("{:.2}", p.price),
                    format!("{:.2}", p.cost),
                    p.supplier.clone().unwrap_or_default(),
                ]
            }),
        );
        for d in &r.stock.deliveries {
            out += &format!("delivery by {}: {:.2}\n", d.supplier, d.cost);
        }
        let fees: f64 = r.stock.purchases.iter().map(|p| p.cut_fees).sum();
        if fees > 0.0 {
            out += &format!("the sellers' cuts: {fees:.2}\n");
        }
        out += format!("total {:.2} {currency}", r.stock.cost).trim_end();
        out += if r.stock.proven { "; nothing costs less: proven\n" } else { "\n" };
    }
    for p in &r.stock.problems {
        out += &format!("{}\n", steel::problem_words(&r.shape.design, p, |m| t.length_unit(m)));
    }
    if let Some(reach) = &today {
        out += "\nhow far today's steel goes\n";
        for line in steel::reach_words(reach, &r.steel, currency, |m| t.length_unit(m)) {
            out += &format!("- {line}\n");
        }
    }
    load::print(out.trim_start());
    Ok(ExitCode::SUCCESS)
}
