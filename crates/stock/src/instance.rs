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
    /// What the seller asks for each piece cut from one, thousandths.
    pub fee: u64,
    /// How many there are, never more than pieces; `None`: any number.
    pub count: Option<usize>,
    /// Who charges for its delivery, as index into those given, if anybody does.
    pub supplier: Option<usize>,
}

/// What is cut from one stick in one length: a piece, or one of its two parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Part {
    /// Index into the pieces given.
    pub piece: usize,
    /// Which part, 1 or 2; `None`: the whole piece.
    pub part: Option<u8>,
    /// nm.
    pub length: u64,
}

/// Pieces and sticks of one section; every piece fits at least one kind.
#[derive(Clone, Debug)]
pub(crate) struct Instance {
    /// Length of each piece plus one kerf, nm, longest first.
    pub weights: Vec<u64>,
    /// What they are.
    pub pieces: Vec<Part>,
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

    /// The same pieces with some of the kinds; `None` if a piece then has no stick long enough.
    pub fn only(&self, keep: impl Fn(&Kind) -> bool) -> Option<Instance> {
        let kinds: Vec<Kind> = self.kinds.iter().filter(|kind| keep(kind)).cloned().collect();
        let longest = kinds.iter().map(|kind| kind.room).max()?;
        (self.weights.first() <= Some(&longest)).then(|| Instance { kinds, ..self.clone() })
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

/// Sorts the pieces wanted and the sticks by section and leaves out what can't be used, each with its problem.
pub(crate) fn sort(
    pieces: &[Piece],
    sticks: &[StickKind],
    settings: &Settings,
    wanted: &dyn Fn(usize) -> bool,
) -> Sorted {
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
    for delivery in &settings.deliveries {
        if !(0.0..=MAX_PRICE).contains(&delivery.cost) {
            problems.push(Problem::BadDelivery { supplier: delivery.supplier.clone(), cost: delivery.cost });
        }
    }
    if !problems.is_empty() {
        return Sorted { sections: Vec::new(), problems };
    }
    let kinds = usable_sticks(sticks, settings, &mut problems);
    let mut sections = Vec::new();
    for (name, members) in by_section(pieces, wanted, &mut problems) {
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
        } else if ![stick.each(), stick.cut_fee].iter().all(|price| (0.0..=MAX_PRICE).contains(price)) {
            let price = if (0.0..=MAX_PRICE).contains(&stick.each()) { stick.cut_fee } else { stick.price };
            let length = stick.length;
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
                value: if stick.count.is_some() { 0 } else { thousandths(stick.each()) },
                fee: if stick.count.is_some() { 0 } else { thousandths(stick.cut_fee) },
                count: stick.count.map(|count| count as usize),
                supplier: settings.deliveries.iter().position(|delivery| {
                    stick.count.is_none() && delivery.cost > 0.0 && Some(&delivery.supplier) == stick.supplier.as_ref()
                }),
            });
        }
    }
    kinds
}

/// Pieces with a usable length by section.
fn by_section(
    pieces: &[Piece],
    wanted: &dyn Fn(usize) -> bool,
    problems: &mut Vec<Problem>,
) -> Vec<(String, Vec<usize>)> {
    let mut sections: Vec<(String, Vec<usize>)> = Vec::new();
    let mut known: HashMap<&str, usize> = HashMap::new();
    for (index, piece) in pieces.iter().enumerate().filter(|(index, _)| wanted(*index)) {
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
        let needed = needed(members.iter().map(|&piece| nanometres(pieces[piece].length)), settings);
        problems.push(Problem::NoSticks { section: name.clone(), pieces: members.len(), needed });
        return Section { name, pieces: members, too_long: Vec::new(), instance: None };
    };
    let longest_bought = kinds.iter().filter(|kind| kind.count.is_none()).map(|kind| kind.room).max();
    let (mut parts, mut too_long) = (Vec::new(), Vec::new());
    for &piece in &members {
        let of = &pieces[piece];
        let length = nanometres(of.length);
        if length + kerf <= room {
            parts.push(Part { piece, part: None, length });
        } else if let Some((first, second)) = longest_bought
            .into_iter()
            .chain([room])
            .find_map(|room| split(length, room.saturating_sub(kerf), of.splittable))
        {
            parts.push(Part { piece, part: Some(1), length: first });
            parts.push(Part { piece, part: Some(2), length: second });
        } else {
            problems.push(Problem::TooLong {
                piece,
                name: of.name.clone(),
                section: name.clone(),
                length: of.length,
                longest: metres(room - kerf),
            });
            too_long.push(piece);
        }
    }
    if parts.is_empty() {
        return Section { name, pieces: members, too_long, instance: None };
    }
    parts.sort_by_key(|part| (std::cmp::Reverse(part.length), part.piece));
    let priced = kinds.iter().any(|kind| kind.value > 0 || kind.fee > 0 || kind.supplier.is_some());
    for kind in &mut kinds {
        kind.count = kind.count.map(|count| count.min(parts.len()));
        if !priced && kind.count.is_none() {
            kind.value = kind.length;
        }
    }
    let weights = parts.iter().map(|part| part.length + kerf).collect();
    Section { name, pieces: members, too_long, instance: Some(Instance { weights, pieces: parts, kinds, priced }) }
}

/// Two parts of a length that no stick takes whole: the first as long as a stick gives, or shorter so that the second
/// has its least length.
fn split(length: u64, longest: u64, least: Option<f64>) -> Option<(u64, u64)> {
    let least = nanometres(least.filter(|&least| is_length(least))?).max(1);
    let first = longest.min(length.checked_sub(least)?);
    let second = length - first;
    (first >= least && second <= longest).then_some((first, second))
}

/// Length of the pieces and a saw cut between each two, m.
pub(crate) fn needed(lengths: impl Iterator<Item = u64>, settings: &Settings) -> f64 {
    let kerf = nanometres(settings.kerf);
    let sum: u64 = lengths.map(|length| length + kerf).sum();
    metres(sum.saturating_sub(kerf))
}
