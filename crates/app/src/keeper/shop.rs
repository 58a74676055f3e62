//! What is done in the shop, kept.

use build::{Doing, Event, Measurement};
use design::units::{Quantity, parse_text, show};

use super::Keeper;
use crate::wire::{Measured, ShopAsk, ShopEvent, ShopNews, Tick, Used};

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
        let known = self.record.used().map_err(failed)?;
        for u in &ask.used {
            let left = match u.left.trim() {
                "" => None,
                text => Some(parse_text(text, Quantity::Length, units).map_err(|e| format!("`{text}`: {e}"))?.value),
            };
            list.push((&u.id, Doing::Used(self.cut_from(u, left, &known)), &u.who, u.at));
        }
        for (id, doing, who, at) in &list {
            self.record.done(id, doing, who, *at).map_err(failed)?;
        }
        let refused = self.readings(&ask.readings);
        Ok(ShopNews { refused, ..self.since(before)? })
    }

    /// What is known of a stick that a piece was cut from: by its mark in the record, or else in the plan shown.
    fn cut_from(&self, u: &Used, left: Option<f64>, known: &[build::Used]) -> build::Used {
        let stick = u.stick.trim().to_owned();
        let before = known.iter().find(|k| k.stick == stick).map(|k| (k.whole, k.place.clone()));
        let planned = || {
            let mut all = self.review.stock.sections.iter().flat_map(|s| &s.sticks);
            all.find(|k| k.mark == stick).map(|k| (Some(k.length), k.place.clone()))
        };
        let (whole, place) = before.or_else(planned).unwrap_or_default();
        let piece = self.review.cutting.pieces.iter().find(|p| p.name == u.piece);
        let length = piece.map_or(0.0, |p| p.lengths.blank);
        build::Used { piece: u.piece.clone(), stick, whole, place, length, left }
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
                Doing::Used(u) => {
                    let left = u.left.map_or(String::new(), |v| show(v, Quantity::Length, units));
                    Some(ShopEvent::Used(Used { id, piece: u.piece, stick: u.stick, left, who, at }))
                }
                // Readings are told with the sheet.
                Doing::Renamed(..) | Doing::Reading(_) => None,
            }
        };
        Ok(ShopNews { number: last, events: events.into_iter().filter_map(told).collect(), refused: Vec::new() })
    }
}
