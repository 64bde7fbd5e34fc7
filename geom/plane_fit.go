package geom

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// FitPlane returns the plane with the least sum of squared distances, square
// to the plane, to the points: it passes through their mean, and its unit
// normal is the direction of their least scatter, pointing up (for an upright
// plane to +y, or to +x). It fails for fewer than three points, for points all
// on one line and for coordinates that are not numbers. The cost is linear in
// the points.
func FitPlane(pts []r3.Vec) (point, normal r3.Vec, err error) {
	if len(pts) < 3 {
		return r3.Vec{}, r3.Vec{}, fmt.Errorf("geom: a plane needs 3 points, there are %d", len(pts))
	}
	for _, p := range pts {
		point = r3.Add(point, r3.Scale(1/float64(len(pts)), p))
	}
	if !allFinite(point.X, point.Y, point.Z) {
		return r3.Vec{}, r3.Vec{}, errors.New("geom: plane: a coordinate is not a number")
	}
	var s [3][3]float64
	for _, p := range pts {
		d := r3.Sub(p, point)
		v := [3]float64{d.X, d.Y, d.Z}
		for i := range 3 {
			for j := range 3 {
				s[i][j] += v[i] * v[j]
			}
		}
	}
	value, axis := eigen3(s)
	if !(value[1] > 1e-12*value[2]) || !allFinite(value[0], value[2]) {
		return r3.Vec{}, r3.Vec{}, errors.New("geom: plane: the points lie on one line")
	}
	normal = axis[0]
	if normal.Z < 0 || normal.Z == 0 && (normal.Y < 0 || normal.Y == 0 && normal.X < 0) {
		normal = r3.Scale(-1, normal)
	}
	return point, normal, nil
}

// eigen3 returns the eigenvalues of a symmetric matrix, rising, and their unit
// eigenvectors, by Jacobi's rotations (G. Golub and C. Van Loan, Matrix
// Computations, section 8.5). Accurate to rounding of the largest.
func eigen3(a [3][3]float64) (value [3]float64, axis [3]r3.Vec) {
	v := Identity().R
	for range 30 {
		off := math.Abs(a[0][1]) + math.Abs(a[0][2]) + math.Abs(a[1][2])
		if off == 0 {
			break
		}
		for _, pq := range [3][2]int{{0, 1}, {0, 2}, {1, 2}} {
			jacobi(&a, &v, pq[0], pq[1])
		}
	}
	order := [3]int{0, 1, 2}
	for _, ij := range [3][2]int{{0, 1}, {1, 2}, {0, 1}} {
		if i, j := ij[0], ij[1]; a[order[j]][order[j]] < a[order[i]][order[i]] {
			order[i], order[j] = order[j], order[i]
		}
	}
	for k, i := range order {
		value[k] = a[i][i]
		axis[k] = r3.Unit(r3.Vec{X: v[0][i], Y: v[1][i], Z: v[2][i]})
	}
	return value, axis
}

// jacobi makes a[p][q] zero by one rotation, gathered in the columns of v.
func jacobi(a, v *[3][3]float64, p, q int) {
	if a[p][q] == 0 {
		return
	}
	tau := (a[q][q] - a[p][p]) / (2 * a[p][q])
	t := 1 / (math.Abs(tau) + math.Hypot(1, tau))
	if tau < 0 {
		t = -t
	}
	c := 1 / math.Hypot(1, t)
	s := c * t
	for k := range 3 {
		kp, kq := a[k][p], a[k][q]
		a[k][p], a[k][q] = c*kp-s*kq, s*kp+c*kq
	}
	for k := range 3 {
		pk, qk := a[p][k], a[q][k]
		a[p][k], a[q][k] = c*pk-s*qk, s*pk+c*qk
	}
	a[p][q], a[q][p] = 0, 0
	for k := range 3 {
		kp, kq := v[k][p], v[k][q]
		v[k][p], v[k][q] = c*kp-s*kq, s*kp+c*kq
	}
}
