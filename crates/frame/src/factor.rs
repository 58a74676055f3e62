//! A factorised matrix: solves, and counts its negative pivots.

use std::sync::Arc;

use faer::dyn_stack::{MemBuffer, MemStack};
use faer::linalg::cholesky::ldlt::factor::LdltRegularization;
use faer::sparse::linalg::cholesky::{LdltRef, SymbolicCholeskyRaw, supernodal};
use faer::{Conj, MatMut, Par, Side};

use crate::pattern::{Pattern, TooLarge};

/// L D Lᵀ of a symmetric matrix.
#[derive(Debug)]
pub(crate) struct Factor {
    pattern: Arc<Pattern>,
    values: Vec<f64>,
    parallel: Par,
}

/// Why a matrix was not factorised.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum NoFactor {
    /// A pivot is zero.
    Singular,
    /// No memory.
    TooLarge,
}

/// From this many unknowns on, threads are worth starting.
const WORTH_THREADS: usize = 6_000;

impl Factor {
    /// Factorises the matrix with these values on the pattern.
    pub(crate) fn new(pattern: &Arc<Pattern>, values: &[f64]) -> Result<Factor, NoFactor> {
        let symbolic = &pattern.symbolic;
        let parallel = if pattern.size < WORTH_THREADS { Par::Seq } else { Par::rayon(0) };
        let mut memory =
            MemBuffer::try_new(symbolic.factorize_numeric_ldlt_scratch::<f64>(parallel, Default::default()))
                .map_err(|_| NoFactor::TooLarge)?;
        let mut out = vec![0.0; symbolic.len_val()];
        symbolic
            .factorize_numeric_ldlt(
                &mut out,
                pattern.matrix(values),
                Side::Lower,
                LdltRegularization::default(),
                parallel,
                MemStack::new(&mut memory),
                Default::default(),
            )
            .map_err(|_| NoFactor::Singular)?;
        Ok(Factor { pattern: pattern.clone(), values: out, parallel })
    }

    fn ldlt(&self) -> LdltRef<'_, u32, f64> {
        LdltRef::new(&self.pattern.symbolic, &self.values)
    }

    /// Solves for several right sides that follow each other, in place.
    pub(crate) fn solve(&self, right: &mut [f64]) -> Result<(), TooLarge> {
        let n = self.pattern.size;
        if right.is_empty() {
            return Ok(());
        }
        let columns = right.len() / n;
        let need = self.pattern.symbolic.solve_in_place_scratch::<f64>(columns, self.parallel);
        let mut memory = MemBuffer::try_new(need).map_err(|_| TooLarge)?;
        let right = MatMut::from_column_major_slice_mut(right, n, columns);
        self.ldlt().solve_in_place_with_conj(Conj::No, right, self.parallel, MemStack::new(&mut memory));
        Ok(())
    }

    /// The pivots, in the order of the factorisation.
    pub(crate) fn pivots(&self) -> Vec<f64> {
        match self.pattern.symbolic.raw() {
            SymbolicCholeskyRaw::Simplicial(s) => {
                s.col_ptr()[..self.pattern.size].iter().map(|&p| self.values[p as usize]).collect()
            }
            SymbolicCholeskyRaw::Supernodal(s) => {
                let l = supernodal::SupernodalLdltRef::new(s, &self.values);
                (0..s.n_supernodes())
                    .flat_map(|k| {
                        let node = l.supernode(k).val();
                        (0..node.ncols()).map(move |j| node[(j, j)])
                    })
                    .collect()
            }
        }
    }
}
