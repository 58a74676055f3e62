//! What one more tape distance would tell.

use adjust::Answer;
use serde::Serialize;
use shape::Shape;

use crate::checks::meeting;
use crate::network::{ALONG, Net};

/// A distance to be measured next.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Next {
    /// Its two places.
    pub between: [String; 2],
    /// What the tape should read between them, m.
    pub length: f64,
    /// How well that is known already, m: its standard deviation. `None` if one of its places is loose along it.
    pub known: Option<f64>,
    /// Mean standard deviation of the places in question as it is, m. `None` if one of them is loose.
    pub before: Option<f64>,
    /// With the distance, m. `None` if it ties down what is loose.
    pub after: Option<f64>,
}

/// The best distances. What counts are the places at which what remains meets what stands, if any were measured; else all.
pub(crate) fn next(shape: &Shape, net: &Net, a: &Answer, standing: &[usize], tape: f64, most: usize) -> Vec<Next> {
    let about: Vec<usize> = meeting(shape, standing).into_iter().filter_map(|n| net.number(n)).collect();
    let about = if about.is_empty() { None } else { Some(about) };
    let count = about.as_ref().map_or(net.network.points.len(), Vec::len).max(1) as f64;
    let mean = |trace: f64| (trace.max(0.0) / (3.0 * count)).sqrt();
    let loose = |k: usize| a.points[k].as_ref().is_some_and(|p| !p.loose.is_empty());
    let all_tied = match &about {
        Some(list) => !list.iter().any(|&k| loose(k)),
        None => !(0..net.network.points.len()).any(loose),
    };
    // A distance is known if neither place can still move along it.
    let tied = |i: usize, j: usize| {
        let (Some(p), Some(q)) = (&a.points[i], &a.points[j]) else { return false };
        let Some(u) = (q.at - p.at).try_normalize() else { return false };
        p.loose.iter().chain(&q.loose).all(|d| d.dot(u).abs() <= ALONG)
    };
    let name = |k: usize| net.network.points[k].name.clone();
    a.next_distances(None, tape, about.as_deref())
        .into_iter()
        .filter(|g| !g.taken)
        .take(most)
        .map(|g| Next {
            between: [name(g.from), name(g.to)],
            length: g.length,
            known: tied(g.from, g.to).then_some(g.known),
            before: all_tied.then(|| mean(g.before)),
            after: if all_tied { g.after.map(mean) } else { None },
        })
        .collect()
}
