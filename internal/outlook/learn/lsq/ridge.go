package lsq

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// ErrUndetermined says that neither observations nor prior fix a coefficient.
var ErrUndetermined = errors.New("observations and prior leave a coefficient undetermined")

// Equations are observations y_i = Σ_j a_ij θ_j with standard uncertainties u_i
// above 0.
type Equations struct {
	A    [][]float64
	Y, U []float64
}

// Prior is what is known of the coefficients before an observation: their mean
// and the inverse of their covariance, 0 where nothing is known.
type Prior struct {
	Mean      []float64
	Precision *mat.SymDense
}

// Independent returns the prior of coefficients that are known one by one to a
// standard uncertainty; +Inf is not at all.
func Independent(mean, u []float64) Prior {
	precision := mat.NewSymDense(len(u), nil)
	for i, v := range u {
		precision.SetSym(i, i, 1/(v*v))
	}
	return Prior{mean, precision}
}

// Correlated returns the prior of a covariance. It returns ErrUndetermined when
// that has no inverse.
func Correlated(mean []float64, cov *mat.SymDense) (Prior, error) {
	var chol mat.Cholesky
	precision := mat.NewSymDense(len(mean), nil)
	if !chol.Factorize(cov) || chol.InverseTo(precision) != nil {
		return Prior{}, ErrUndetermined
	}
	return Prior{mean, precision}, nil
}

// Fit is a solution: the coefficients, their covariance, and by how much each
// of them moves with each observation.
type Fit struct {
	Theta []float64
	Cov   *mat.SymDense
	Gain  [][]float64 // [coefficient][observation]
}

// Ridge returns the θ that minimises
//
//	Σ ((y_i − Σ_j a_ij θ_j)/u_i)² + (θ − θ0)ᵀ P (θ − θ0)
//
// its covariance C = (Aᵀ W A + P)⁻¹, W = diag(1/u²), and its gains C Aᵀ W. P = 0
// is plain weighted least squares. Without observations it returns the prior.
// It returns ErrUndetermined where there is no C.
//
// Source: least squares with a Gaussian prior; without one JCGM 100:2008
// (GUM), H.3, in matrix form.
func Ridge(e Equations, prior Prior) (Fit, error) {
	p := len(prior.Mean)
	normal := mat.NewSymDense(p, nil)
	normal.CopySym(prior.Precision)
	pull := mat.NewVecDense(p, nil)
	for i, row := range e.A {
		w := 1 / (e.U[i] * e.U[i])
		off := e.Y[i] - dot(row, prior.Mean)
		for j, v := range row {
			pull.SetVec(j, pull.AtVec(j)+w*v*off)
			for k := j; k < p; k++ {
				normal.SetSym(j, k, normal.At(j, k)+w*v*row[k])
			}
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(normal) {
		return Fit{}, ErrUndetermined
	}
	f := Fit{Cov: mat.NewSymDense(p, nil)}
	step := mat.NewVecDense(p, nil)
	if errors.Join(chol.InverseTo(f.Cov), chol.SolveVecTo(step, pull)) != nil {
		return Fit{}, ErrUndetermined
	}
	for j, v := range prior.Mean {
		f.Theta = append(f.Theta, v+step.AtVec(j))
		gain := make([]float64, len(e.A))
		for i, row := range e.A {
			for k, v := range row {
				gain[i] += f.Cov.At(j, k) * v / (e.U[i] * e.U[i])
			}
		}
		f.Gain = append(f.Gain, gain)
	}
	return f, nil
}

// Widened is Ridge, and Ridge again with the uncertainties widened by the
// misfit of the first.
func Widened(e Equations, prior Prior) (f Fit, wider float64, err error) {
	if f, err = Ridge(e, prior); err != nil {
		return f, 1, err
	}
	chi2 := 0.0
	for i, row := range e.A {
		r := (e.Y[i] - dot(row, f.Theta)) / e.U[i]
		chi2 += r * r
	}
	if wider = Misfit(chi2, len(e.A)-len(prior.Mean)); wider > 1 {
		f, err = Ridge(Equations{e.A, e.Y, scaled(e.U, wider)}, prior)
	}
	return f, wider, err
}

// Misfit returns by how much observations scatter more than their uncertainties
// say, the root of χ² over its degrees of freedom; at least 1, and 1 where
// there is no degree of freedom.
//
// Source: Birge, Phys. Rev. 40 (1932), 207–227, from memory.
func Misfit(chi2 float64, freedom int) float64 {
	if freedom <= 0 {
		return 1
	}
	return max(1, math.Sqrt(chi2/float64(freedom)))
}

func dot(a, b []float64) (sum float64) {
	for i, v := range a {
		sum += v * b[i]
	}
	return sum
}

func scaled(u []float64, k float64) []float64 {
	out := make([]float64, len(u))
	for i, v := range u {
		out[i] = k * v
	}
	return out
}
