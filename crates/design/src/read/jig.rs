//! `[jig]`.

use super::fields::{Fields, Node, Reader};
use crate::keys;
use crate::model::{Jig, SaddleAt, SaddleOn, SaddleWish};

impl<'a> Reader<'a> {
    /// `[jig]`; `None` only if it is wrong.
    pub fn jig(&mut self) -> Option<Jig> {
        let d = Jig::default();
        let Some(f) = self.single("jig", &keys::JIG) else { return Some(d) };
        let saddles = if f.has("saddles") { self.saddles(&f).map(Some) } else { Some(None) };
        let jig = Jig {
            bed: self.triple(&f, "bed").map_or(d.bed, |v| v.to_array()),
            clearance: self.number(&f, "clearance").unwrap_or(d.clearance),
            wall: self.number(&f, "wall").unwrap_or(d.wall),
            length: self.number(&f, "length").unwrap_or(d.length),
            wrap: self.number(&f, "wrap").unwrap_or(d.wrap),
            clear: self.number(&f, "clear").unwrap_or(d.clear),
            grip: self.number(&f, "grip").unwrap_or(d.grip),
            ties: self.whole(&f, "ties").and_then(|n| usize::try_from(n).ok()).unwrap_or(d.ties),
            tie: self.pair(&f, "tie").map_or(d.tie, |v| v.to_array()),
            engrave: self.number(&f, "engrave").unwrap_or(d.engrave),
            saddles: saddles?,
        };
        if jig.clearance > jig.wall {
            let message = "the clearance of [jig] is more than its wall";
            let help = "a clearance is a fraction of a millimetre: 0.2 is usual";
            self.error(f.span_of("clearance"), message, "more than `wall`", help);
        }
        if jig.clear <= 2.0 * jig.clearance {
            let message = "saddles of [jig] would touch the weld";
            self.error(f.span_of("clear"), message, "must be more than twice `clearance`", "20 mm is usual");
        }
        Some(jig)
    }

    fn saddles(&mut self, f: &Fields<'a>) -> Option<Vec<SaddleWish>> {
        let nodes = self.list(f, "saddles")?;
        let read: Vec<Option<SaddleWish>> = nodes.iter().enumerate().map(|(i, n)| self.saddle(n, i)).collect();
        read.into_iter().collect()
    }

    fn saddle(&mut self, node: &'a Node<'a>, i: usize) -> Option<SaddleWish> {
        let f = self.open(node, &keys::SADDLE, format!("saddle {} of [jig]", i + 1))?;
        let tube = f.get("tube").and_then(|n| self.tube_at(n, f.at("tube")));
        let end = self.choice(&f, "end");
        let along = self.number(&f, "at");
        let host = f.get("on").map(|n| self.tube_at(n, f.at("on")));
        let flat = if f.has("flat") { Some(self.plane(&f, "flat")) } else { None };
        let at = match (f.has("end"), f.has("at")) {
            (true, true) => {
                self.error(f.span_of("at"), format!("{} has two places", f.what), "one too many", "keep `end` or `at`");
                return None;
            }
            (false, false) => {
                let help = "add end = \"start\" or \"end\" for the corner there, or at = a distance along the tube";
                self.error(f.span.clone(), format!("{} has no place", f.what), "where along its tube?", help);
                return None;
            }
            (true, false) => {
                if end? == "start" {
                    SaddleAt::Start
                } else {
                    SaddleAt::End
                }
            }
            (false, true) => SaddleAt::Along(along?),
        };
        let on = match (host, flat) {
            (Some(_), Some(_)) => {
                let message = format!("{} sits on a tube and on a flat", f.what);
                self.error(f.span_of("flat"), message, "one too many", "keep `on` or `flat`");
                return None;
            }
            (Some(host), None) => SaddleOn::Tube(host?),
            (None, Some(flat)) => SaddleOn::Flat(flat?),
            (None, None) if matches!(at, SaddleAt::Along(_)) => {
                let help = "add on = the tube under it, or flat = { z = 0 } for a bench";
                self.error(f.span.clone(), format!("{} sits on nothing", f.what), "no `on`, no `flat`", help);
                return None;
            }
            (None, None) => SaddleOn::Passing,
        };
        let tube = tube?;
        if let SaddleOn::Tube(host) = &on
            && (host.id, host.twin) == (tube.id, tube.twin)
        {
            let message = format!("{} sits on the tube that it holds", f.what);
            self.error(host.span.clone(), message, "the same tube", "name the tube under it");
            return None;
        }
        Some(SaddleWish { tube, at, on, span: f.span.clone() })
    }
}
