//! Plans cutting questions given as JSON, one per line on standard input, for `reference/cutting_stock.py`; prints one
//! line of JSON for each: cost, number of sticks, what is proven, time.
//!
//! A question: `{"kerf": 2, "trim": 5, "limit": 100000000, "pieces": [lengths], "sticks": [{"length", "count" (absent:
//! to be bought), "price", "per_metre", "cut_fee", "supplier"}], "deliveries": {"supplier": cost}}`, lengths in mm.

use std::io::{BufRead, Write};
use std::process::ExitCode;
use std::time::Instant;

use serde_json::{Value, json};
use stock::{Delivery, Piece, Settings, StickKind, check, plan};

fn number(of: &Value, key: &str) -> f64 {
    of[key].as_f64().unwrap_or(0.0)
}

fn question(of: &Value) -> (Vec<Piece>, Vec<StickKind>, Settings) {
    let list = |key: &str| of[key].as_array().cloned().unwrap_or_default();
    let pieces = list("pieces").into_iter().enumerate().map(|(order, length)| Piece {
        name: format!("p{order}"),
        section: "bar".into(),
        length: length.as_f64().unwrap_or(f64::NAN) / 1000.0,
        order,
        ..Piece::default()
    });
    let sticks = list("sticks").into_iter().map(|stick| StickKind {
        section: "bar".into(),
        length: number(&stick, "length") / 1000.0,
        count: stick["count"].as_u64().map(|count| count as u32),
        price: number(&stick, "price"),
        per_metre: stick["per_metre"] == true,
        cut_fee: number(&stick, "cut_fee"),
        supplier: stick["supplier"].as_str().map(str::to_owned),
        ..StickKind::default()
    });
    let deliveries = of["deliveries"].as_object().into_iter().flatten();
    let settings = Settings {
        limit: of["limit"].as_u64().unwrap_or(Settings::FULL),
        deliveries: deliveries
            .map(|(supplier, cost)| Delivery { supplier: supplier.clone(), cost: cost.as_f64().unwrap_or(f64::NAN) })
            .collect(),
        ..Settings::saw(number(of, "kerf") / 1000.0, number(of, "trim") / 1000.0)
    };
    (pieces.collect(), sticks.collect(), settings)
}

fn main() -> ExitCode {
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let read = line
            .map_err(|e| e.to_string())
            .and_then(|line| serde_json::from_str::<Value>(&line).map_err(|e| format!("this line is no JSON: {e}")));
        let of = match read {
            Ok(of) => of,
            Err(why) => {
                eprintln!("{why}");
                return ExitCode::FAILURE;
            }
        };
        let (pieces, sticks, settings) = question(&of);
        let start = Instant::now();
        let plan = plan(&pieces, &sticks, &settings);
        let seconds = start.elapsed().as_secs_f64();
        let wrong = check(&plan, &pieces, &sticks, &settings).err().unwrap_or_default();
        let line = json!({
            "seconds": seconds,
            "wrong": wrong,
            "cost": plan.cost,
            "cost_bound": plan.cost_bound,
            "proven": plan.proven,
            "sticks": plan.sections.iter().map(|s| s.sticks.len()).sum::<usize>(),
            "stick_bound": plan.sections.iter().map(|s| s.bound.map_or(0, |b| b.sticks_at_cost)).sum::<usize>(),
            "fewest": plan.sections.iter().all(|s| s.fewest),
            "longest_offcut": plan.sections.iter().all(|s| s.longest_offcut),
            "unplaced": plan.sections.iter().map(|s| s.unplaced.len()).sum::<usize>(),
            "offcuts": plan.sections.iter().flat_map(|s| s.offcuts.iter().map(|o| o.length)).collect::<Vec<_>>(),
        });
        if writeln!(out, "{line}").is_err() {
            return ExitCode::FAILURE;
        }
    }
    ExitCode::SUCCESS
}
