//! Where a frame's matrix has entries, and in which order its nodes are taken: found once, used by every factorisation.

use faer::Side;
use faer::dyn_stack::{MemBuffer, MemStack};
use faer::perm::PermRef;
use faer::sparse::linalg::amd;
use faer::sparse::linalg::cholesky::{
    CholeskySymbolicParams, SymbolicCholesky, SymmetricOrdering, factorize_symbolic_cholesky,
};
use faer::sparse::linalg::{SupernodalThreshold, SymbolicSupernodalParams};
use faer::sparse::{SymbolicSparseColMat, SymbolicSparseColMatRef};

use crate::model::Model;

/// The lower triangle of a matrix of blocks of six by six, columns in the model's order of nodes.
#[derive(Debug)]
pub(crate) struct Pattern {
    /// Number of unknowns.
    pub size: usize,
    pub columns: SymbolicSparseColMat<u32>,
    pub symbolic: SymbolicCholesky<u32>,
    /// For each beam, where the blocks of its two nodes lie: start with start, start with end, end with end.
    pub blocks: Vec<[Block; 3]>,
    /// For each lump, where the blocks of its nodes lie: first with first, first with second, … second with second, …
    pub lumps: Vec<Vec<Block>>,
    /// Place of each diagonal entry.
    pub diagonal: Vec<usize>,
}

/// Where a block of six by six lies among the values.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Block {
    /// Place of its first column's first entry.
    pub first: [usize; 6],
    /// Whether only its lower triangle is there.
    pub diagonal: bool,
    /// Whether it is the transpose of (start, end) that is there.
    pub turned: bool,
}

/// Up to how many columns, and with what part of zeros, neighbours are factorised as one dense block. Nodes come in six
/// columns: three of them always. (Tried on lattices of 160 to 22,000 beams; small frames, too, are faster in blocks.)
const MERGED: &[(usize, f64)] = &[(18, 1.0), (48, 0.5), (96, 0.2), (usize::MAX, 0.1)];

/// The computer has not the memory, or the frame has too many nodes to be counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct TooLarge;

impl Pattern {
    /// With `lumps`, the nodes that carry a mass between them are taken as joined, too.
    pub(crate) fn new(model: &Model, lumps: bool) -> Result<Pattern, TooLarge> {
        let n = model.nodes.len();
        if n == 0 || n > (u32::MAX / 6) as usize {
            return Err(TooLarge);
        }
        // Below each node's own block: its neighbours of higher number.
        let mut below: Vec<Vec<u32>> = vec![Vec::new(); n];
        for b in &model.beams {
            let (lo, hi) = (b.nodes[0].min(b.nodes[1]), b.nodes[0].max(b.nodes[1]));
            if lo != hi {
                below[lo].push(hi as u32);
            }
        }
        if lumps {
            for l in &model.lumps {
                for a in l.nodes.iter().map(|c| c.node) {
                    below[a].extend(l.nodes.iter().filter(|b| b.node > a).map(|b| b.node as u32));
                }
            }
        }
        for l in &mut below {
            l.sort_unstable();
            l.dedup();
        }
        let order = order(&below)?;
        let (columns, starts) = expand(&below);
        let symbolic = {
            let mut forward = vec![0u32; 6 * n];
            let mut back = vec![0u32; 6 * n];
            for (k, &node) in order.iter().enumerate() {
                for i in 0..6 {
                    forward[6 * k + i] = 6 * node + i as u32;
                    back[6 * node as usize + i] = (6 * k + i) as u32;
                }
            }
            let perm = PermRef::new_checked(&forward, &back, 6 * n);
            factorize_symbolic_cholesky(
                columns.as_ref(),
                Side::Lower,
                SymmetricOrdering::Custom(perm),
                CholeskySymbolicParams {
                    supernodal_flop_ratio_threshold: SupernodalThreshold::FORCE_SUPERNODAL,
                    supernodal_params: SymbolicSupernodalParams { relax: Some(MERGED) },
                    ..CholeskySymbolicParams::default()
                },
            )
            .map_err(|_| TooLarge)?
        };
        let place = |s: usize, e: usize| {
            let (lo, hi) = (s.min(e), s.max(e));
            if lo == hi {
                return Block { first: std::array::from_fn(|j| starts[6 * s + j]), diagonal: true, turned: false };
            }
            let slot = below[lo].binary_search(&(hi as u32)).unwrap_or(0);
            let first = std::array::from_fn(|j| starts[6 * lo + j] + (6 - j) + 6 * slot);
            Block { first, diagonal: false, turned: s < e }
        };
        let blocks =
            model.beams.iter().map(|b| [(0, 0), (0, 1), (1, 1)].map(|(i, j)| place(b.nodes[i], b.nodes[j]))).collect();
        let lumps = if lumps {
            let all = |l: &crate::model::Lump| {
                let mut nodes: Vec<usize> = Vec::with_capacity(l.nodes.len());
                for c in &l.nodes {
                    if !nodes.contains(&c.node) {
                        nodes.push(c.node);
                    }
                }
                let pairs = nodes.iter().enumerate().flat_map(|(i, &a)| nodes[i..].iter().map(move |&b| (a, b)));
                pairs.map(|(a, b)| place(a, b)).collect()
            };
            model.lumps.iter().map(all).collect()
        } else {
            Vec::new()
        };
        let diagonal = starts[..6 * n].to_vec();
        Ok(Pattern { size: 6 * n, columns, symbolic, blocks, lumps, diagonal })
    }

    /// A matrix with these values.
    pub(crate) fn matrix<'a>(&'a self, values: &'a [f64]) -> faer::sparse::SparseColMatRef<'a, u32, f64> {
        faer::sparse::SparseColMatRef::new(self.columns.as_ref(), values)
    }
}

/// The order in which nodes are taken: approximate minimum degree on the graph of nodes.
fn order(below: &[Vec<u32>]) -> Result<Vec<u32>, TooLarge> {
    let n = below.len();
    let mut starts = Vec::with_capacity(n + 1);
    let mut rows = Vec::new();
    starts.push(0u32);
    for (i, l) in below.iter().enumerate() {
        rows.push(i as u32);
        rows.extend_from_slice(l);
        starts.push(rows.len() as u32);
    }
    let graph = SymbolicSparseColMatRef::new_checked(n, n, &starts, None, &rows);
    let (mut forward, mut back) = (vec![0u32; n], vec![0u32; n]);
    let mut memory =
        MemBuffer::try_new(amd::order_maybe_unsorted_scratch::<u32>(n, rows.len())).map_err(|_| TooLarge)?;
    amd::order_maybe_unsorted(&mut forward, &mut back, graph, amd::Control::default(), MemStack::new(&mut memory))
        .map_err(|_| TooLarge)?;
    Ok(forward)
}

/// The pattern in single rows, and where each column's entries start.
fn expand(below: &[Vec<u32>]) -> (SymbolicSparseColMat<u32>, Vec<usize>) {
    let n = below.len();
    let entries: usize = below.iter().map(|l| 21 + 36 * l.len()).sum();
    let mut starts = Vec::with_capacity(6 * n + 1);
    let mut rows = Vec::with_capacity(entries);
    for (i, l) in below.iter().enumerate() {
        for j in 0..6 {
            starts.push(rows.len());
            rows.extend((j..6).map(|r| (6 * i + r) as u32));
            rows.extend(l.iter().flat_map(|&h| (0..6).map(move |r| 6 * h + r)));
        }
    }
    starts.push(rows.len());
    let narrow = starts.iter().map(|&s| s as u32).collect();
    (SymbolicSparseColMat::new_checked(6 * n, 6 * n, narrow, None, rows), starts)
}
