//! A small linear program, solved exactly at a vertex.
//!
//! Maximizes c·u for u >= 0 with A u = b, where A has few rows (`M`) and many columns: the dual
//! form of fitting a plane to heights. The revised simplex method keeps `M` columns as a basis; each
//! round prices all columns, so a round costs no more than reading the points once.

use crate::linear::{Matrix, apply, dot, inverse, transposed};

/// Rounds after which the answer is given up: a face takes some 20.
const MOST_ROUNDS: usize = 5_000;
/// Rounds without progress after which the choice that cannot cycle is used (Bland's rule).
const PATIENCE: usize = 20;
/// What counts as no gain, for columns and costs of size 1.
const TOLERANCE: f64 = 1e-11;

/// A column of A and its cost.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Column<const M: usize> {
    pub entries: [f64; M],
    pub cost: f64,
}

/// The best vertex.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Optimum<const M: usize> {
    /// The columns of the basis.
    pub basis: [usize; M],
    /// Their u.
    pub values: [f64; M],
    /// The prices y, with Aᵀ y >= c: the answer of the primal form.
    pub prices: [f64; M],
}

/// Solves from a feasible basis. `None` if a basis turns singular or the rounds run out.
pub(crate) fn maximize<const M: usize>(
    columns: &[Column<M>],
    right: [f64; M],
    mut basis: [usize; M],
) -> Option<Optimum<M>> {
    let (mut best, mut stalled) = (f64::NEG_INFINITY, 0);
    for _ in 0..MOST_ROUNDS {
        let columns_of_basis: Matrix<M, M> = basis.map(|at| columns[at].entries);
        // Their inverse, transposed: the rows are the columns of the basis.
        let back = inverse(&columns_of_basis)?;
        let forth = transposed(&back);
        let values = apply(&forth, &right);
        let costs: [f64; M] = basis.map(|at| columns[at].cost);
        let prices = apply(&back, &costs);
        let total = dot(&costs, &values);
        stalled = if total > best + TOLERANCE {
            0
        } else {
            stalled + 1
        };
        best = best.max(total);
        let Some(enters) = entering(columns, &prices, stalled > PATIENCE) else {
            return Some(Optimum {
                basis,
                values,
                prices,
            });
        };
        let change = apply(&forth, &columns[enters].entries);
        basis[leaving(&basis, &values, &change)?] = enters;
    }
    None
}

/// The column with the largest gain, or with `first` the first that has any.
fn entering<const M: usize>(
    columns: &[Column<M>],
    prices: &[f64; M],
    first: bool,
) -> Option<usize> {
    let mut best = None;
    let mut most = TOLERANCE;
    for (at, column) in columns.iter().enumerate() {
        let gain = column.cost - dot(prices, &column.entries);
        if gain > most {
            best = Some(at);
            if first {
                break;
            }
            most = gain;
        }
    }
    best
}

/// The row that first reaches zero; of several, that of the lowest column.
fn leaving<const M: usize>(
    basis: &[usize; M],
    values: &[f64; M],
    change: &[f64; M],
) -> Option<usize> {
    let mut best: Option<(f64, usize)> = None;
    for row in 0..M {
        if change[row] <= TOLERANCE {
            continue;
        }
        let ratio = values[row].max(0.0) / change[row];
        let is_better = best.is_none_or(|(least, at)| {
            ratio < least - TOLERANCE || (ratio <= least + TOLERANCE && basis[row] < basis[at])
        });
        if is_better {
            best = Some((ratio, row));
        }
    }
    best.map(|(_, row)| row)
}
