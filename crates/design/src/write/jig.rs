//! `[jig]`.

use super::{Writer, degrees, inline, list, quote};
use crate::model::*;

impl Writer<'_> {
    pub(super) fn jig(&mut self) {
        let (jig, d) = (&self.design.jig, Jig::default());
        if *jig == d {
            return;
        }
        self.head("[jig]");
        if jig.bed != d.bed {
            self.key("bed", list(jig.bed.map(|x| self.length(x))));
        }
        self.measure("clearance", jig.clearance, d.clearance);
        self.measure("wall", jig.wall, d.wall);
        self.measure("length", jig.length, d.length);
        self.number("wrap", jig.wrap, d.wrap, degrees);
        self.measure("clear", jig.clear, d.clear);
        self.measure("grip", jig.grip, d.grip);
        if jig.ties != d.ties {
            self.key("ties", jig.ties.to_string());
        }
        if jig.tie != d.tie {
            self.key("tie", list(jig.tie.map(|x| self.length(x))));
        }
        self.measure("engrave", jig.engrave, d.engrave);
        if let Some(saddles) = &jig.saddles {
            self.key("saddles", list(saddles.iter().map(|s| self.saddle(s))));
        }
    }

    fn saddle(&self, s: &SaddleWish) -> String {
        let mut keys = vec![("tube", self.tube(&s.tube))];
        keys.push(match s.at {
            SaddleAt::Start => ("end", quote("start")),
            SaddleAt::End => ("end", quote("end")),
            SaddleAt::Along(at) => ("at", self.length(at)),
        });
        match &s.on {
            SaddleOn::Passing => {}
            SaddleOn::Tube(host) => keys.push(("on", self.tube(host))),
            SaddleOn::Flat(plane) => keys.push(("flat", self.plane(plane))),
        }
        inline(&keys)
    }
}
