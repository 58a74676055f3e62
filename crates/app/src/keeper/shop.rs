//! What is done in the shop, kept.

use build::{Doing, Event, Measurement};
use design::units::{Quantity, parse_text, show};

use super::Keeper;
use crate::wire::{Measured, ShopAsk, ShopEvent, ShopNews, Tick};

impl Keeper {
    /// Keeps what a phone sends, and gives everything that was new.
    pub(super) fn shop(&mut self, ask: &ShopAsk) -> Result<ShopNews, String> {
        let failed = |e: build::RecordError| e.to_string();
        let before = self.record.since(0).map_err(failed)?.last().map_or(0, |e| e.number);
        let units = self.review.shape.design.units;
        // All of it is read before any of it is kept.
        let mut list: Vec<(&str, Doing, &str, i64)> = Vec::new();
        for t in &ask.ticks {
            let doing = Doing::Tick(build::Tick { piece: t.piece.clone(), operation: t.operation, done: t.done });
            list.push((&t.id, doing, &t.who, t.at));
        }
        for m in &ask.measured {
            let value = match m.text.trim() {
                "" => None,
                text => Some(parse_text(text, Quantity::Length, units).map_err(|e| format!("`{text}`: {e}"))?.value),
            };
            let doing = Doing::Measured(Measurement { piece: m.piece.clone(), what: m.what.clone(), value });
            list.push((&m.id, doing, &m.who, m.at));
        }
        for (id, doing, who, at) in &list {
            self.record.done(id, doing, who, *at).map_err(failed)?;
        }
        self.since(before)
    }

    /// What was done after a number.
    pub(super) fn since(&self, number: i64) -> Result<ShopNews, String> {
        let events = self.record.since(number).map_err(|e| e.to_string())?;
        let units = self.review.shape.design.units;
        let last = events.last().map_or(number, |e| e.number);
        let told = |e: Event| {
            let (id, at, who) = (e.id, e.at, e.who);
            match e.doing {
                Doing::Tick(t) => {
                    Some(ShopEvent::Tick(Tick { id, piece: t.piece, operation: t.operation, done: t.done, who, at }))
                }
                Doing::Measured(m) => {
                    let text = m.value.map_or(String::new(), |v| show(v, Quantity::Length, units));
                    Some(ShopEvent::Measured(Measured { id, piece: m.piece, what: m.what, text, who, at }))
                }
                Doing::Used(_) | Doing::Renamed(..) => None,
            }
        };
        Ok(ShopNews { number: last, events: events.into_iter().filter_map(told).collect() })
    }
}
