//! Points and tubes that would have to be located before themselves.

use super::fields::Reader;
use crate::model::{Placement, Point, Span, Tube};

/// A point or a tube.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Thing {
    Point(usize),
    Tube(usize),
}

/// One thing needing another.
struct Need {
    on: Thing,
    span: Span,
    words: &'static str,
}

/// Longer chains are cut short in the message.
const LONGEST_CHAIN: usize = 12;

impl Reader<'_> {
    /// Says which points and tubes need themselves, with the chain that leads back.
    pub fn check_cycles(&mut self, points: &[Option<Point>], tubes: &[Option<Tube>]) {
        let needs: Vec<Vec<Need>> = points
            .iter()
            .map(|p| point_needs(p.as_ref()))
            .chain(tubes.iter().map(|t| tube_needs(t.as_ref())))
            .collect();
        let index = |thing: Thing| match thing {
            Thing::Point(i) => i,
            Thing::Tube(i) => points.len() + i,
        };
        // A walk in depth without recursion, so that a chain of thousands does not overflow the stack.
        #[derive(Clone, Copy, PartialEq)]
        enum State {
            New,
            OnTheWay,
            Done,
        }
        let mut state = vec![State::New; needs.len()];
        let mut way: Vec<(usize, usize)> = Vec::new();
        for root in 0..needs.len() {
            if state[root] != State::New {
                continue;
            }
            way.push((root, 0));
            state[root] = State::OnTheWay;
            while let Some((node, next)) = way.last_mut() {
                let node = *node;
                let Some(need) = needs[node].get(*next) else {
                    state[node] = State::Done;
                    way.pop();
                    continue;
                };
                *next += 1;
                let target = index(need.on);
                match state.get(target) {
                    Some(State::New) => {
                        state[target] = State::OnTheWay;
                        way.push((target, 0));
                    }
                    Some(State::OnTheWay) => {
                        let from = way.iter().position(|(n, _)| *n == target).unwrap_or(0);
                        let chain: Vec<&Need> = way[from..].iter().map(|(n, i)| &needs[*n][*i - 1]).collect();
                        let start = if target < points.len() {
                            Thing::Point(target)
                        } else {
                            Thing::Tube(target - points.len())
                        };
                        self.report_cycle(start, &chain);
                    }
                    _ => {}
                }
            }
        }
    }

    fn report_cycle(&mut self, start: Thing, chain: &[&Need]) {
        let name = |thing: Thing| match thing {
            Thing::Point(i) => self.names.points.items[i].name,
            Thing::Tube(i) => self.names.tubes.items[i].name,
        };
        let kind = if matches!(start, Thing::Point(_)) { "point" } else { "tube" };
        let mut words = format!("`{}`", name(start));
        for (i, need) in chain.iter().enumerate() {
            let joint = if i == 0 { "" } else { ", which" };
            words += &format!("{joint} {} `{}`", need.words, name(need.on));
            if i + 2 == LONGEST_CHAIN && chain.len() > LONGEST_CHAIN {
                words += &format!(", and after {} more steps", chain.len() - i - 2);
                if let Some(last) = chain.last() {
                    words += &format!(" {} `{}`", last.words, name(last.on));
                }
                break;
            }
        }
        let message = format!("the place of {kind} `{}` depends on itself", name(start));
        let span = chain.first().map_or(0..0, |n| n.span.clone());
        self.error(span, message, words, "give one of these points by coordinates");
    }
}

fn point_needs(point: Option<&Point>) -> Vec<Need> {
    match point.map(|p| &p.placement) {
        Some(Placement::On { tube, .. }) => {
            vec![Need { on: Thing::Tube(tube.id.0), span: tube.span.clone(), words: "is on" }]
        }
        Some(Placement::From { point, .. }) => {
            vec![Need { on: Thing::Point(point.id.0), span: point.span.clone(), words: "is placed from" }]
        }
        Some(Placement::At(_)) | None => Vec::new(),
    }
}

fn tube_needs(tube: Option<&Tube>) -> Vec<Need> {
    let Some(tube) = tube else { return Vec::new() };
    tube.path.iter().map(|p| Need { on: Thing::Point(p.id.0), span: p.span.clone(), words: "runs through" }).collect()
}
