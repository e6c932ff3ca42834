//! The smallest change that keeps some linear limits: min ‖u‖² subject to G·u ≥ h.
//!
//! Least distance programming by non-negative least squares, after Lawson and Hanson, *Solving Least Squares
//! Problems* (1974, reprinted by SIAM 1995), chapter 23: algorithms NNLS and LDP. Limits that may give way carry a
//! price, so that there is an answer even where they contradict each other, and it says by how much they give.

use nalgebra::{DMatrix, DVector};

/// A linear limit `row · u ≥ least`.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub row: Vec<f64>,
    pub least: f64,
    /// Whether it may give way where it must.
    pub soft: bool,
}

/// The price of a soft limit: the squared norm of the change that giving way by one unit is worth.
const PRICE: f64 = 1e8;

/// The smallest change of `n` variables that keeps the limits, and how hard each limit presses (0: not at all).
/// `None` where the hard limits contradict each other.
pub(super) fn least_change(n: usize, rows: &[Row]) -> Option<(DVector<f64>, Vec<f64>)> {
    if rows.is_empty() {
        return Some((DVector::zeros(n), Vec::new()));
    }
    // Each soft limit has a variable of its own, by which it gives way.
    let softs: Vec<usize> = (0..rows.len()).filter(|i| rows[*i].soft).collect();
    let wide = n + softs.len();
    // E = [Gᵀ; hᵀ], f = (0 … 0, 1): the dual as a non-negative least squares problem.
    let mut e = DMatrix::zeros(wide + 1, rows.len());
    for (j, row) in rows.iter().enumerate() {
        for (i, g) in row.row.iter().enumerate() {
            e[(i, j)] = *g;
        }
        e[(wide, j)] = row.least;
    }
    for (slot, j) in softs.iter().enumerate() {
        e[(n + slot, *j)] = 1.0 / PRICE.sqrt();
    }
    let mut f = DVector::zeros(wide + 1);
    f[wide] = 1.0;
    let pressing = non_negative_least_squares(&e, &f);
    let residual = &e * &pressing - &f;
    let last = -residual[wide];
    // ‖residual‖² = 1 / (1 + ‖w‖²): nothing is left of it where no w will do.
    if last <= 1e-14 {
        return None;
    }
    let change = DVector::from_fn(n, |i, _| residual[i] / last);
    let pressing = pressing.iter().map(|y| y / last).collect();
    Some((change, pressing))
}

/// The y ≥ 0 with the least ‖A·y − b‖: algorithm NNLS.
fn non_negative_least_squares(a: &DMatrix<f64>, b: &DVector<f64>) -> DVector<f64> {
    let n = a.ncols();
    let mut y = DVector::zeros(n);
    let mut free: Vec<usize> = Vec::new();
    let scale = a.abs().max().max(1e-300);
    // Each turn frees one variable; cycles are possible only through rounding.
    for _ in 0..3 * n + 10 {
        let gradient = a.transpose() * (b - a * &y);
        let steepest = (0..n)
            .filter(|j| !free.contains(j))
            .max_by(|i, j| gradient[*i].total_cmp(&gradient[*j]));
        match steepest {
            Some(j) if gradient[j] > 1e-13 * scale => free.push(j),
            _ => break,
        }
        loop {
            let solution = least_squares(a, b, &free);
            let worst = free
                .iter()
                .zip(solution.iter())
                .filter(|(_, s)| **s <= 0.0)
                .map(|(j, s)| (y[*j] / (y[*j] - s)).clamp(0.0, 1.0))
                .min_by(f64::total_cmp);
            let Some(step) = worst.filter(|w| w.is_finite()) else {
                y.fill(0.0);
                for (j, s) in free.iter().zip(solution.iter()) {
                    y[*j] = s.max(0.0);
                }
                break;
            };
            for (j, s) in free.iter().zip(solution.iter()) {
                y[*j] += step * (s - y[*j]);
            }
            let before = free.len();
            free.retain(|j| y[*j] > 1e-15);
            for j in 0..n {
                if !free.contains(&j) {
                    y[j] = 0.0;
                }
            }
            if free.is_empty() || free.len() == before {
                break;
            }
        }
    }
    y
}

/// Least squares on some columns, by orthogonal triangles; by singular values where the columns depend on each other.
fn least_squares(a: &DMatrix<f64>, b: &DVector<f64>, columns: &[usize]) -> DVector<f64> {
    let chosen = a.select_columns(columns);
    let n = columns.len();
    if n <= chosen.nrows() {
        let triangles = chosen.clone().qr();
        let r = triangles.r();
        let largest = (0..n).map(|i| r[(i, i)].abs()).fold(0.0, f64::max);
        if (0..n).all(|i| r[(i, i)].abs() > 1e-12 * largest) {
            let mut turned = b.clone();
            triangles.q_tr_mul(&mut turned);
            if let Some(solution) = r.solve_upper_triangular(&turned.rows(0, n).into_owned()) {
                return solution;
            }
        }
    }
    chosen
        .svd(true, true)
        .solve(b, 1e-14)
        .unwrap_or_else(|_| DVector::zeros(n))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn row(row: &[f64], least: f64, soft: bool) -> Row {
        Row {
            row: row.to_vec(),
            least,
            soft,
        }
    }

    #[test]
    fn the_nearest_point_of_a_half_plane_and_of_a_corner() {
        // x + y ≥ 2: the foot of the perpendicular is (1, 1).
        let (u, _) = least_change(2, &[row(&[1.0, 1.0], 2.0, false)]).unwrap();
        assert_abs_diff_eq!(u[0], 1.0, epsilon = 1e-12);
        assert_abs_diff_eq!(u[1], 1.0, epsilon = 1e-12);
        // With x ≤ 0.25 as well the corner is (0.25, 1.75), and both limits press.
        let (u, pressing) = least_change(
            2,
            &[row(&[1.0, 1.0], 2.0, false), row(&[-1.0, 0.0], -0.25, false)],
        )
        .unwrap();
        assert_abs_diff_eq!(u[0], 0.25, epsilon = 1e-12);
        assert_abs_diff_eq!(u[1], 1.75, epsilon = 1e-12);
        assert!(pressing.iter().all(|p| *p > 0.1));
        // What is met already moves nothing.
        let (u, pressing) = least_change(2, &[row(&[1.0, 0.0], -1.0, false)]).unwrap();
        assert_abs_diff_eq!(u.norm(), 0.0, epsilon = 1e-12);
        assert_abs_diff_eq!(pressing[0], 0.0, epsilon = 1e-12);
    }

    #[test]
    fn limits_that_contradict_each_other_give_way_alike_or_not_at_all() {
        assert!(least_change(1, &[row(&[1.0], 1.0, false), row(&[-1.0], 0.0, false)]).is_none());
        let (u, pressing) = least_change(1, &[row(&[1.0], 1.0, true), row(&[-1.0], 0.0, true)]).unwrap();
        assert_abs_diff_eq!(u[0], 0.5, epsilon = 1e-6);
        assert!(pressing.iter().all(|p| *p > 1.0));
        // A hard limit does not give way to a soft one.
        let (u, _) = least_change(1, &[row(&[1.0], 1.0, true), row(&[-1.0], 0.0, false)]).unwrap();
        assert_abs_diff_eq!(u[0], 0.0, epsilon = 1e-6);
    }
}
