package fit

import (
	"errors"
	"fmt"
	"math"
)

// LeastSquares finds the few unknowns x that make Σ ((row·x − rhs)/sd)² least,
// with their covariance as the sds give it. Rows hold one value for each
// unknown. It fails where a value is not a number, an sd not above zero, or the
// rows leave an unknown open. For some ten unknowns: the matrix is dense.
func LeastSquares(rows [][]float64, rhs, sd []float64) (x []float64, cov [][]float64, err error) {
	if len(rows) == 0 || len(rows) != len(rhs) || len(rows) != len(sd) {
		return nil, nil, fmt.Errorf("fit: least squares: %d rows, %d values and %d sds do not match", len(rows), len(rhs), len(sd))
	}
	n := len(rows[0])
	a := newArrow(n, max(n-1, 0), 0)
	x = make([]float64, n)
	index := make([]int, n)
	for i := range index {
		index[i] = i
	}
	for k, r := range rows {
		if len(r) != n || !finite(rhs[k]) || !(sd[k] > 0) || math.IsInf(sd[k], 0) {
			return nil, nil, fmt.Errorf("fit: least squares: row %d is not whole", k)
		}
		w := 1 / (sd[k] * sd[k])
		for i, v := range r {
			if !finite(v) {
				return nil, nil, fmt.Errorf("fit: least squares: row %d is not whole", k)
			}
			x[i] += w * rhs[k] * v
		}
		a.addRow(row{index, r}, w)
	}
	if n == 0 || a.factor() != nil {
		return nil, nil, errors.New("fit: least squares: the readings do not carry every unknown")
	}
	a.solve(x)
	cov = make([][]float64, n)
	for i := range cov {
		cov[i] = make([]float64, n)
		cov[i][i] = 1
		a.solve(cov[i])
	}
	return x, cov, nil
}
