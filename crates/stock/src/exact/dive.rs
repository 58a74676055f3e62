//! Finding a packing by rounding the relaxation: whole sticks first, then the fullest part rounded up, and relaxed anew.

use super::model::{Filling, Model, Supply};
use super::prove::prove;
use super::relax::{Pool, Relaxed, relax};
use super::{Answer, Parts};
use crate::search::Effort;

/// A number this near below a whole one is whole.
const WHOLE: f64 = 1e-5;
/// Most times that a dive may take another than the fullest part, and how far down the list it looks.
const MOST_TURNS: usize = 6;
const WIDEST_TURN: usize = 4;
/// With so few pieces left, every way is tried instead; steps for that.
const FEW_PIECES: usize = 26;
const STEPS_FOR_FEW: u64 = 20_000;

/// Dives again and again, each time allowed one more turn from the fullest part, until all is packed or the effort is
/// spent.
pub(super) fn dive(
    model: &Model,
    demand: &[usize],
    supply: &Supply,
    parts: &Parts,
    pool: &mut Pool,
    effort: &mut Effort,
) -> Option<Vec<Filling>> {
    for turns in 0..=MOST_TURNS {
        let mut state = State { demand: demand.to_vec(), supply: supply.clone(), done: Vec::new() };
        if descend(model, &mut state, parts.clone(), turns, pool, effort) {
            return Some(state.done);
        }
        if effort.spent() {
            return None;
        }
    }
    None
}

#[derive(Clone)]
struct State {
    demand: Vec<usize>,
    supply: Supply,
    done: Vec<Filling>,
}

impl State {
    fn take(&mut self, model: &Model, filling: &Filling, most: usize) -> usize {
        let mut number = most;
        while number > 0 && !model.take(filling, number, &mut self.demand, &mut self.supply) {
            number -= 1;
        }
        self.done.extend(std::iter::repeat_n(filling.clone(), number));
        number
    }
}

fn descend(
    model: &Model,
    state: &mut State,
    mut parts: Parts,
    turns: usize,
    pool: &mut Pool,
    effort: &mut Effort,
) -> bool {
    loop {
        let waiting: usize = state.demand.iter().sum();
        if waiting == 0 {
            return true;
        }
        if effort.spent() {
            return false;
        }
        if waiting <= FEW_PIECES {
            let mut own = effort.share(STEPS_FOR_FEW);
            let answer = prove(model, &state.demand, &state.supply, &[], None, &mut own);
            effort.give_back(own);
            match answer {
                Answer::Yes(rest) => {
                    state.done.extend(rest);
                    return true;
                }
                Answer::No => return false,
                Answer::Unknown => {}
            }
        }
        let mut taken = 0;
        for (filling, value) in &parts {
            taken += state.take(model, filling, (value + WHOLE) as usize);
        }
        if taken == 0 {
            break;
        }
        if state.demand.iter().all(|&count| count == 0) {
            return true;
        }
        match relax(model, &state.demand, &state.supply, pool, effort) {
            Relaxed::Yes(next, _) => parts = next,
            _ => return false,
        }
    }
    for (turn, (filling, _)) in parts.iter().enumerate().take(1 + turns.min(WIDEST_TURN)) {
        let mut next = state.clone();
        if next.take(model, filling, 1) == 0 {
            continue;
        }
        let rest = if next.demand.iter().all(|&count| count == 0) {
            Vec::new()
        } else {
            match relax(model, &next.demand, &next.supply, pool, effort) {
                Relaxed::Yes(rest, _) => rest,
                _ => continue,
            }
        };
        if descend(model, &mut next, rest, turns - turn, pool, effort) {
            *state = next;
            return true;
        }
        if effort.spent() {
            return false;
        }
    }
    false
}
