//! Small matrices, as arrays of rows. Nothing here is larger than a few hundred rows, so the plain
//! methods are fast enough, and a linear algebra library would be larger than all of this crate.

/// A matrix of fixed size.
pub type Matrix<const R: usize, const C: usize> = [[f64; C]; R];

/// A pivot below this share of the largest entry is none: the matrix has no inverse.
const NO_PIVOT: f64 = 1e-14;
/// Rounds of Jacobi's method; a matrix of nine rows takes about eight.
const SWEEPS: usize = 40;

/// Returns a matrix of zeros with ones on the diagonal.
#[must_use]
pub fn identity<const N: usize>() -> Matrix<N, N> {
    let mut matrix = [[0.0; N]; N];
    (0..N).for_each(|at| matrix[at][at] = 1.0);
    matrix
}

/// Returns the matrix product.
#[must_use]
pub fn product<const R: usize, const K: usize, const C: usize>(
    a: &Matrix<R, K>,
    b: &Matrix<K, C>,
) -> Matrix<R, C> {
    let entry = |row: usize, column: usize| (0..K).map(|k| a[row][k] * b[k][column]).sum();
    std::array::from_fn(|row| std::array::from_fn(|column| entry(row, column)))
}

/// Returns a b aᵀ: a covariance carried through a linear map.
#[must_use]
pub fn carried<const R: usize, const K: usize>(a: &Matrix<R, K>, b: &Matrix<K, K>) -> Matrix<R, R> {
    product(&product(a, b), &transposed(a))
}

/// Returns the matrix with rows and columns exchanged.
#[must_use]
pub fn transposed<const R: usize, const C: usize>(a: &Matrix<R, C>) -> Matrix<C, R> {
    std::array::from_fn(|row| std::array::from_fn(|column| a[column][row]))
}

/// Returns the matrix times a vector.
#[must_use]
pub fn apply<const R: usize, const C: usize>(a: &Matrix<R, C>, v: &[f64; C]) -> [f64; R] {
    std::array::from_fn(|row| dot(&a[row], v))
}

/// Returns the sum of two matrices, the second times a factor.
#[must_use]
pub fn plus<const R: usize, const C: usize>(
    a: &Matrix<R, C>,
    b: &Matrix<R, C>,
    factor: f64,
) -> Matrix<R, C> {
    std::array::from_fn(|row| std::array::from_fn(|at| a[row][at] + factor * b[row][at]))
}

/// Returns the scalar product.
#[must_use]
pub fn dot<const N: usize>(a: &[f64; N], b: &[f64; N]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Returns the inverse; `None` if there is none.
#[must_use]
pub fn inverse<const N: usize>(matrix: &Matrix<N, N>) -> Option<Matrix<N, N>> {
    let (mut left, mut back) = (*matrix, identity::<N>());
    eliminate(&mut left, &mut back)?;
    Some(back)
}

/// Returns the inverse of a square matrix given by rows.
pub(crate) fn inverse_of_rows(mut rows: Vec<Vec<f64>>) -> Option<Vec<Vec<f64>>> {
    let n = rows.len();
    let unit = |at: usize| {
        (0..n)
            .map(|other| f64::from(u8::from(other == at)))
            .collect()
    };
    let mut back: Vec<Vec<f64>> = (0..n).map(unit).collect();
    eliminate(&mut rows, &mut back)?;
    Some(back)
}

/// Turns a matrix into the unit matrix, and does the same to another one, by Gauss and Jordan's method
/// with the largest pivot of each column. `None` if it has no inverse.
fn eliminate<Row>(matrix: &mut [Row], other: &mut [Row]) -> Option<()>
where
    Row: AsRef<[f64]> + AsMut<[f64]> + Clone,
{
    let n = matrix.len();
    let entries = matrix.iter().flat_map(|row| row.as_ref());
    let largest = entries.fold(0.0_f64, |most, entry| most.max(entry.abs()));
    for column in 0..n {
        let size = |row: &usize| matrix[*row].as_ref()[column].abs();
        let pivot = (column..n).max_by(|a, b| size(a).total_cmp(&size(b)))?;
        let by = matrix[pivot].as_ref()[column];
        if by.is_nan() || by.abs() <= NO_PIVOT * largest {
            return None;
        }
        matrix.swap(column, pivot);
        other.swap(column, pivot);
        for rows in [&mut *matrix, &mut *other] {
            rows[column]
                .as_mut()
                .iter_mut()
                .for_each(|entry| *entry /= by);
        }
        let used = (matrix[column].clone(), other[column].clone());
        for at in (0..n).filter(|at| *at != column) {
            let factor = matrix[at].as_ref()[column];
            if factor != 0.0 {
                subtract(&mut matrix[at], &used.0, factor);
                subtract(&mut other[at], &used.1, factor);
            }
        }
    }
    Some(())
}

fn subtract<Row: AsRef<[f64]> + AsMut<[f64]>>(from: &mut Row, row: &Row, factor: f64) {
    let entries = from.as_mut().iter_mut().zip(row.as_ref());
    entries.for_each(|(entry, used)| *entry -= factor * used);
}

/// Returns the eigenvalues of a symmetric matrix and its eigenvectors, one a row, by Jacobi's
/// method.
pub(crate) fn eigen<const N: usize>(mut matrix: Matrix<N, N>) -> ([f64; N], Matrix<N, N>) {
    let mut vectors = identity::<N>();
    for _ in 0..SWEEPS {
        let mut is_diagonal = true;
        for p in 0..N {
            for q in p + 1..N {
                let tiny = f64::EPSILON * (matrix[p][p] * matrix[q][q]).abs().sqrt();
                if matrix[p][q].abs() > tiny.max(f64::MIN_POSITIVE) {
                    is_diagonal = false;
                    rotate(&mut matrix, &mut vectors, p, q);
                }
            }
        }
        if is_diagonal {
            break;
        }
    }
    (std::array::from_fn(|at| matrix[at][at]), vectors)
}

/// Turns two axes so that the entry between them becomes 0.
fn rotate<const N: usize>(
    matrix: &mut Matrix<N, N>,
    vectors: &mut Matrix<N, N>,
    p: usize,
    q: usize,
) {
    let angle = 0.5 * (2.0 * matrix[p][q]).atan2(matrix[q][q] - matrix[p][p]);
    let (sin, cos) = angle.sin_cos();
    for row in matrix.iter_mut() {
        (row[p], row[q]) = (cos * row[p] - sin * row[q], sin * row[p] + cos * row[q]);
    }
    for at in 0..N {
        let (a, b) = (matrix[p][at], matrix[q][at]);
        (matrix[p][at], matrix[q][at]) = (cos * a - sin * b, sin * a + cos * b);
        let (a, b) = (vectors[p][at], vectors[q][at]);
        (vectors[p][at], vectors[q][at]) = (cos * a - sin * b, sin * a + cos * b);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::seeded::Seeded;

    #[test]
    fn an_inverse_undoes_its_matrix() {
        let mut random = Seeded::new(51);
        for _ in 0..200 {
            let matrix: Matrix<6, 6> =
                std::array::from_fn(|_| std::array::from_fn(|_| random.normal(1.0)));
            let Some(back) = inverse(&matrix) else {
                continue;
            };
            let one = product(&matrix, &back);
            let off = plus(&one, &identity(), -1.0);
            let size = back
                .iter()
                .flatten()
                .fold(1.0_f64, |most, entry| most.max(entry.abs()));
            assert!(off.iter().flatten().all(|entry| entry.abs() < 1e-11 * size));
        }
        assert!(inverse(&[[1.0, 2.0], [2.0, 4.0]]).is_none());
        assert!(inverse(&[[f64::NAN, 2.0], [2.0, 4.0]]).is_none());
    }

    #[test]
    fn eigenvectors_are_only_stretched() {
        let mut random = Seeded::new(52);
        for _ in 0..100 {
            let half: Matrix<9, 9> =
                std::array::from_fn(|_| std::array::from_fn(|_| random.normal(1.0)));
            let matrix = product(&half, &transposed(&half));
            let (values, vectors) = eigen(matrix);
            for (value, vector) in values.iter().zip(&vectors) {
                let stretched = apply(&matrix, vector);
                assert!((dot(vector, vector) - 1.0).abs() < 1e-12);
                for (a, b) in stretched.iter().zip(vector) {
                    assert!((a - value * b).abs() < 1e-10 * (1.0 + value.abs()));
                }
            }
        }
        let (values, _) = eigen([[2.0, 1.0], [1.0, 2.0]]);
        assert!(
            (values[0].min(values[1]) - 1.0).abs() < 1e-12
                && (values[0].max(values[1]) - 3.0).abs() < 1e-12
        );
    }
}
