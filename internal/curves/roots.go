package curves

import "math"

// fallingRoot returns t in [0, width] where a falling cubic takes the value y.
// It starts at the root of the parabola that has the cubic's end values and
// its slope at 0, which is exact where most pump curves begin; two of Halley's
// steps, each of which cubes the error, then nearly always do.
func fallingRoot(c *cubic, y, width float64) float64 {
	const enough = 1e-4 // of the interval: the error is then near its cube
	drop := c[0] - y
	bend := c[2] + c[3]*width
	t := 2 * drop / (math.Sqrt(c[1]*c[1]-4*bend*drop) - c[1])
	step := 0.0
	for range 2 {
		f, slope, half := c.at(t)-y, c.slope(t), c[2]+3*c[3]*t
		step = f * slope / (slope*slope - f*half)
		t -= step
	}
	if math.Abs(step) <= enough*width && 0 <= t && t <= width {
		return t
	}
	return bracketedRoot(c, y, width)
}

// bracketedRoot is fallingRoot where that fails: Newton steps kept inside a
// shrinking bracket.
func bracketedRoot(c *cubic, y, width float64) float64 {
	if c[0] <= y {
		return 0
	}
	if c.at(width) >= y {
		return width
	}
	lo, hi := 0.0, width
	t := width / 2
	for range 200 {
		f := c.at(t) - y
		if f > 0 {
			lo = t
		} else {
			hi = t
		}
		next := t - f/c.slope(t)
		if !(next > lo && next < hi) { // NaN too
			next = (lo + hi) / 2
		}
		if math.Abs(next-t) <= 1e-15*width {
			return next
		}
		t = next
	}
	return t
}

// lastRise returns the right-most t in (0, width] left of which the cubic
// rises, given that it does not rise at width itself. Rounding may put a root
// that belongs on width a little beyond it.
func lastRise(c *cubic, width float64) (t float64, ok bool) {
	// The slope is k + b t + a t². Where it turns from rising to falling its
	// own slope b + 2 a t is −s, s being the root of the discriminant.
	k, b, a := c[1], 2*c[2], 3*c[3]
	disc := b*b - 4*a*k
	if disc <= 0 {
		return 0, false
	}
	s := math.Sqrt(disc)
	if b < 0 {
		t = 2 * k / (s - b)
	} else {
		t = (-b - s) / (2 * a)
	}
	if !(0 < t && t <= width*(1+1e-9)) {
		return 0, false
	}
	return min(t, width), true
}
