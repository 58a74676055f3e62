//! `stock`: which stick does each piece come from?

use std::path::Path;
use std::process::ExitCode;

use cutting::Detail;
use review::Text;
use strength::Depth;

use crate::load;
use crate::table::{table, wrap};

/// Prints the cutting plan and what to buy.
pub fn run(path: &Path, as_json: bool) -> Result<ExitCode, String> {
    let (_, r) = load::review(path, Detail::SHEET, Depth::Live)?;
    if as_json {
        load::json(&r.stock)?;
        return Ok(ExitCode::SUCCESS);
    }
    let t = Text::new(&r.shape.design);
    let currency = &r.shape.design.rack.currency;
    let mut out = String::new();
    for s in &r.stock.sections {
        let count = match s.sticks.len() {
            0 => "no stick".to_owned(),
            1 => "1 stick".to_owned(),
            n => format!("{n} sticks"),
        };
        out += &format!("\n{}: {count} for {} of pieces", s.section, t.length_unit(s.piece_length));
        if let Some(b) = &s.bound {
            out += &format!("; no plan uses fewer than {}", b.sticks);
            if s.proven {
                out += "; none costs less";
            } else {
                out += &format!("; none costs less than {:.2} {currency}, this one {:.2}", b.cost, s.cost);
            }
        }
        out += "\n";
        out += &table(
            &["stick", &format!("length {}", t.unit()), "from", "pieces, in fitting order", "left over"],
            &[1, 4],
            s.sticks.iter().map(|k| {
                let from = match (k.bought, &k.place) {
                    (true, _) => "buy".to_owned(),
                    (false, Some(p)) => p.clone(),
                    (false, None) => "rack".to_owned(),
                };
                let cuts: Vec<String> =
                    k.cuts.iter().map(|c| format!("{} {}", c.name, t.length(c.to - c.from))).collect();
                vec![k.mark.clone(), t.length(k.length), from, wrap(&cuts, ", ", 72), t.length(k.offcut)]
            }),
        );
        for &u in &s.unplaced {
            out += &format!("no stick for {}: {}\n", r.wanted[u].name, t.length_unit(r.wanted[u].length));
        }
    }
    if !r.stock.purchases.is_empty() {
        out += "\nto buy\n";
        out += &table(
            &["section", &format!("length {}", t.unit()), "count", "each", "cost"],
            &[1, 2, 3, 4],
            r.stock.purchases.iter().map(|p| {
                vec![
                    p.section.clone(),
                    t.length(p.length),
                    p.count.to_string(),
                    format!("{:.2}", p.price),
                    format!("{:.2}", p.cost),
                ]
            }),
        );
        out += &format!("total {:.2} {currency}\n", r.stock.cost);
    }
    for p in &r.stock.problems {
        out += &format!("{}\n", p.message(|m| t.length_unit(m)));
    }
    load::print(out.trim_start());
    Ok(ExitCode::SUCCESS)
}
