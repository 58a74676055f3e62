//! The question in whole numbers, one section at a time.

use std::collections::HashMap;

use crate::grid::{MAX_LENGTH, MAX_PIECES, MAX_PRICE, metres, nanometres, thousandths};
use crate::{Piece, Problem, Settings, StickKind};

/// A kind of stick as the search sees it.
#[derive(Clone, Debug)]
pub(crate) struct Kind {
    /// Index into the stick kinds given.
    pub stick: usize,
    /// Whole length, nm.
    pub length: u64,
    /// Room for pieces that each carry one kerf: the length less the trim, plus one kerf, nm.
    pub room: u64,
    /// What one costs: thousandths of money, or nanometres where nothing to be had has a price. 0 if on hand.
    pub value: u64,
    /// How many there are, never more than pieces; `None`: any number.
    pub count: Option<usize>,
}

/// Pieces and sticks of one section; every piece fits at least one kind.
#[derive(Clone, Debug)]
pub(crate) struct Instance {
    /// Length of each piece plus one kerf, nm, longest first.
    pub weights: Vec<u64>,
    /// The same pieces as indices into those given.
    pub pieces: Vec<usize>,
    /// Kinds of stick.
    pub kinds: Vec<Kind>,
    /// Values are prices, as against lengths.
    pub priced: bool,
}

impl Instance {
    /// Room that all pieces take, nm.
    pub fn need(&self) -> u64 {
        self.weights.iter().sum()
    }
}

/// One section's part of the question.
pub(crate) struct Section {
    /// Name.
    pub name: String,
    /// Its pieces with a usable length, as indices into those given.
    pub pieces: Vec<usize>,
    /// Those that no stick is long enough for.
    pub too_long: Vec<usize>,
    /// What is left to search; `None` if there is no stick or no piece that fits one.
    pub instance: Option<Instance>,
}

/// The whole question, sorted by section.
pub(crate) struct Sorted {
    /// In the order of first appearance among the pieces.
    pub sections: Vec<Section>,
    /// What had to be left out.
    pub problems: Vec<Problem>,
}

fn is_length(length: f64) -> bool {
    (0.0..=MAX_LENGTH).contains(&length)
}

/// At least one nanometre, so that it is not zero on the grid.
fn is_some_length(length: f64) -> bool {
    is_length(length) && nanometres(length) > 0
}

/// Sorts pieces and sticks by section and leaves out what can't be used, each with its problem.
pub(crate) fn sort(pieces: &[Piece], sticks: &[StickKind], settings: &Settings) -> Sorted {
    let mut problems = Vec::new();
    if !is_length(settings.kerf) {
        problems.push(Problem::BadKerf { kerf: settings.kerf });
    }
    if !is_length(settings.trim) {
        problems.push(Problem::BadTrim { trim: settings.trim });
    }
    if pieces.len() > MAX_PIECES {
        problems.push(Problem::TooManyPieces { count: pieces.len() });
    }
    if pieces.is_empty() {
        problems.push(Problem::NoPieces);
    }
    if !problems.is_empty() {
        return Sorted { sections: Vec::new(), problems };
    }
    let kinds = usable_sticks(sticks, settings, &mut problems);
    let mut sections = Vec::new();
    for (name, members) in by_section(pieces, &mut problems) {
        let of_section = kinds.iter().filter(|kind| sticks[kind.stick].section == name).cloned().collect();
        sections.push(section(name, members, of_section, pieces, settings, &mut problems));
    }
    Sorted { sections, problems }
}

/// Usable kinds of all sections, their counts and values as given.
fn usable_sticks(sticks: &[StickKind], settings: &Settings, problems: &mut Vec<Problem>) -> Vec<Kind> {
    let (kerf, trim) = (nanometres(settings.kerf), nanometres(settings.trim));
    let mut kinds = Vec::new();
    for (index, stick) in sticks.iter().enumerate() {
        let section = stick.section.clone();
        if !is_some_length(stick.length) {
            problems.push(Problem::BadStick { stick: index, section, length: stick.length });
        } else if !(0.0..=MAX_PRICE).contains(&stick.price) {
            let (length, price) = (stick.length, stick.price);
            problems.push(Problem::BadPrice { stick: index, section, length, price });
        } else if nanometres(stick.length) <= trim {
            let (length, trim) = (stick.length, settings.trim);
            problems.push(Problem::AllTrim { stick: index, section, length, trim });
        } else {
            let length = nanometres(stick.length);
            kinds.push(Kind {
                stick: index,
                length,
                room: length - trim + kerf,
                value: if stick.count.is_some() { 0 } else { thousandths(stick.price) },
                count: stick.count.map(|count| count as usize),
            });
        }
    }
    kinds
}

/// Pieces with a usable length by section.
fn by_section(pieces: &[Piece], problems: &mut Vec<Problem>) -> Vec<(String, Vec<usize>)> {
    let mut sections: Vec<(String, Vec<usize>)> = Vec::new();
    let mut known: HashMap<&str, usize> = HashMap::new();
    for (index, piece) in pieces.iter().enumerate() {
        if !is_some_length(piece.length) {
            problems.push(Problem::BadPiece { piece: index, name: piece.name.clone(), length: piece.length });
            continue;
        }
        let at = *known.entry(&piece.section).or_insert_with(|| {
            sections.push((piece.section.clone(), Vec::new()));
            sections.len() - 1
        });
        sections[at].1.push(index);
    }
    sections
}

/// Sets up one section.
fn section(
    name: String,
    members: Vec<usize>,
    mut kinds: Vec<Kind>,
    pieces: &[Piece],
    settings: &Settings,
    problems: &mut Vec<Problem>,
) -> Section {
    let kerf = nanometres(settings.kerf);
    kinds.retain(|kind| kind.count != Some(0));
    let Some(room) = kinds.iter().map(|kind| kind.room).max() else {
        let needed = needed(&members, pieces, settings);
        problems.push(Problem::NoSticks { section: name.clone(), pieces: members.len(), needed });
        return Section { name, pieces: members, too_long: Vec::new(), instance: None };
    };
    let weight = |piece: usize| nanometres(pieces[piece].length) + kerf;
    let (mut fitting, too_long): (Vec<usize>, Vec<usize>) = members.iter().partition(|&&piece| weight(piece) <= room);
    for &piece in &too_long {
        problems.push(Problem::TooLong {
            piece,
            name: pieces[piece].name.clone(),
            section: name.clone(),
            length: pieces[piece].length,
            longest: metres(room - kerf),
        });
    }
    if fitting.is_empty() {
        return Section { name, pieces: members, too_long, instance: None };
    }
    fitting.sort_by_key(|&piece| (std::cmp::Reverse(weight(piece)), piece));
    let priced = kinds.iter().any(|kind| kind.value > 0);
    for kind in &mut kinds {
        kind.count = kind.count.map(|count| count.min(fitting.len()));
        if !priced && kind.count.is_none() {
            kind.value = kind.length;
        }
    }
    let weights = fitting.iter().map(|&piece| weight(piece)).collect();
    Section { name, pieces: members, too_long, instance: Some(Instance { weights, pieces: fitting, kinds, priced }) }
}

/// Length of the pieces and a saw cut between each two, m.
pub(crate) fn needed(members: &[usize], pieces: &[Piece], settings: &Settings) -> f64 {
    let kerf = nanometres(settings.kerf);
    let sum: u64 = members.iter().map(|&piece| nanometres(pieces[piece].length) + kerf).sum();
    metres(sum.saturating_sub(kerf))
}
