package flac

import "math"

const (
	fixedOrders = 5 // orders 0 to 4
	linearOrder = 8 // of the linear prediction, as much as is common
)

// A predictor guesses a sample from those before it: the sum of coefficients
// times samples, the newest first, shifted down. A fixed one is named by its order
// alone (RFC 9639 section 9.2.5).
type predictor struct {
	order     int
	linear    bool
	coeffs    [linearOrder]int32
	precision uint // bits of a coefficient
	shift     uint
}

// fixed writes the residual of the fixed predictor of an order: the differences of
// that order.
func fixed(residual, x []int32, order int) []int32 {
	residual = residual[:len(x)-order]
	switch order {
	case 0:
		copy(residual, x)
	case 1:
		for i := range residual {
			residual[i] = x[i+1] - x[i]
		}
	case 2:
		for i := range residual {
			residual[i] = x[i+2] - 2*x[i+1] + x[i]
		}
	case 3:
		for i := range residual {
			residual[i] = x[i+3] - 3*x[i+2] + 3*x[i+1] - x[i]
		}
	case 4:
		for i := range residual {
			residual[i] = x[i+4] - 4*x[i+3] + 6*x[i+2] - 4*x[i+1] + x[i]
		}
	}
	return residual
}

// bestFixed is the order whose residual is the smallest in sum.
func bestFixed(x []int32) int {
	if len(x) < fixedOrders {
		return 0
	}
	var sums [fixedOrders]uint64
	var last [fixedOrders - 1]int32 // the last differences of orders 0 to 3
	for i, v := range x {
		for order := range fixedOrders {
			if i >= fixedOrders-1 {
				sums[order] += uint64(max(v, -v))
			}
			if order < fixedOrders-1 {
				v, last[order] = v-last[order], v
			}
		}
	}
	best := 0
	for order, sum := range sums {
		if sum < sums[best] {
			best = order
		}
	}
	return best
}

// linear finds a linear predictor of linearOrder for x by autocorrelation and the
// recursion of Levinson and Durbin (Makhoul 1975, Proc. IEEE 63:561, "Linear
// prediction: a tutorial review"). It reports whether there is one of use.
// scratch is as long as x. Products are rounded by themselves, so that every
// machine finds the same.
func linear(x []int32, scratch []float64, wide bool) (predictor, bool) {
	p := predictor{order: linearOrder, linear: true, precision: 12}
	if wide {
		p.precision = 14
	}
	n := len(x)
	if n <= 4*linearOrder {
		return p, false
	}
	// The window of Welch needs no function that machines differ in.
	windowed := scratch[:n]
	half := float64(n-1) / 2
	for i, v := range x {
		u := (float64(i) - half) / (half + 1)
		windowed[i] = float64(v) * (1 - float64(u*u))
	}
	var auto [linearOrder + 1]float64
	for lag := range auto {
		a, b := windowed[:n-lag], windowed[lag:]
		b = b[:len(a)]
		var even, odd float64
		i := 0
		for ; i+1 < len(a); i += 2 {
			even += float64(a[i] * b[i])
			odd += float64(a[i+1] * b[i+1])
		}
		if i < len(a) {
			even += float64(a[i] * b[i])
		}
		auto[lag] = even + odd
	}
	var c [linearOrder]float64
	missed := auto[0]
	for order := range linearOrder {
		if missed <= 0 {
			return p, false
		}
		k := auto[order+1]
		for j := range order {
			k -= float64(c[j] * auto[order-j])
		}
		k /= missed
		for i, j := 0, order-1; i <= j; i, j = i+1, j-1 {
			c[i], c[j] = c[i]-float64(k*c[j]), c[j]-float64(k*c[i])
		}
		c[order] = k
		missed *= 1 - float64(k*k)
	}
	return p, p.quantise(c)
}

// quantise rounds coefficients to the predictor's precision and hands on to the
// next what was rounded away. It reports whether they can be told so.
func (p *predictor) quantise(c [linearOrder]float64) bool {
	var most float64
	for _, v := range c {
		most = max(most, math.Abs(v))
	}
	if most == 0 || math.IsNaN(most) || math.IsInf(most, 0) {
		return false
	}
	_, exponent := math.Frexp(most) // most is under 2^exponent
	const mostShift = 15
	shift := min(mostShift, int(p.precision)-1-exponent)
	if shift < 0 {
		return false
	}
	p.shift = uint(shift)
	limit := float64(int32(1) << (p.precision - 1))
	var carried float64
	for i, v := range c {
		carried += float64(v * float64(int32(1)<<p.shift))
		q := min(max(math.Round(carried), -limit), limit-1)
		carried -= q
		p.coeffs[i] = int32(q)
	}
	return true
}

// missed writes the residual of a linear predictor. It reports whether all of it
// can be told, which wild coefficients do not allow.
func (p *predictor) missed(residual, x []int32) ([]int32, bool) {
	residual = residual[:len(x)-p.order]
	c := p.coeffs
	for i := range residual {
		h := (*[linearOrder + 1]int32)(x[i : i+linearOrder+1])
		sum := int64(c[0])*int64(h[7]) + int64(c[1])*int64(h[6]) + int64(c[2])*int64(h[5]) + int64(c[3])*int64(h[4]) +
			int64(c[4])*int64(h[3]) + int64(c[5])*int64(h[2]) + int64(c[6])*int64(h[1]) + int64(c[7])*int64(h[0])
		r := int64(h[8]) - sum>>p.shift
		if r > math.MaxInt32/2 || r < -math.MaxInt32/2 {
			return nil, false
		}
		residual[i] = int32(r)
	}
	return residual, true
}
