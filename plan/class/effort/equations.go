package effort

import (
	"math"

	"cuewright/plan/class"
	"cuewright/plan/units"
	"cuewright/plan/value"
)

// The speeds in metres a minute that the equations were published for. Walking:
// the "ACSM Formulas" of testdata/reference/running/acsm_equations.json; running,
// and jogging from 80 "if truly running": a page of medical algorithms, same file.
const (
	walkFrom = 50.0
	walkTo   = 100.0
	jogFrom  = 80.0
	// The limit is printed as 5 mph, 134 m/min. A treadmill marked in km/h shows 8.0 for it.
	runFrom = 8000. / 60
)

// Rest is the oxygen uptake of one MET in mL/kg/min.
const Rest = 3.5

// Walking is the oxygen uptake of walking in mL/kg/min (gross), at a speed in
// metres a minute and a grade as a fraction (5 % is 0.05): the walking equation of
// the ACSM's Guidelines, 10th edition, Table 6.3, as reprinted in Bushman 2020,
// ACSM's Health & Fitness Journal 24(4):5-8, Box 1. It does not ask whether the
// equation was made for that speed; [VO2] does.
func Walking(speed, grade float64) float64 { return 0.1*speed + 1.8*speed*grade + Rest }

// Running is the same for running, from the same table.
func Running(speed, grade float64) float64 { return 0.2*speed + 0.9*speed*grade + Rest }

// A Gap is a reason why there is no estimate; the empty Gap is none.
type Gap string

// The gaps, as they are shown.
const (
	gapFloor    Gap = "off the belt"
	gapByFeel   Gap = "run by feel"
	gapSlow     Gap = "slower than the equations were made for"
	gapBetween  Gap = "between walking and running"
	gapFastWalk Gap = "walking faster than the equation was made for"
	gapSlowRun  Gap = "running slower than the equation was made for"
	gapDownhill Gap = "downhill, for which there is no equation"
)

// Gaps are all gaps, in the order in which they are told.
var Gaps = []Gap{gapFloor, gapByFeel, gapSlow, gapBetween, gapFastWalk, gapSlowRun, gapDownhill}

// VO2 estimates the oxygen uptake in mL/kg/min (gross) at a speed and the incline
// of a target; its gait decides between 80 and 100 m/min, and is what an estimate
// needs from 100 to 134. A target without an incline counts as level.
func VO2(r units.Rate, t class.Target) (vo2 float64, gap Gap) {
	speed, grade := r.MetresPerMinute(), float64(t.Incline)/1000
	switch {
	case t.Floor:
		return 0, gapFloor
	case !r.IsSet():
		return 0, gapByFeel
	case grade < 0:
		return 0, gapDownhill
	case t.Gait == value.Run && speed < jogFrom:
		return 0, gapSlowRun
	case speed < walkFrom:
		return 0, gapSlow
	case t.Gait == value.Run || t.Gait == "" && speed >= runFrom:
		return Running(speed, grade), ""
	case speed <= walkTo:
		return Walking(speed, grade), ""
	case t.Gait == value.Walk:
		return 0, gapFastWalk
	}
	return 0, gapBetween
}

// VO2Range estimates both ends of an uptake: of walking and of running at speeds between the two, of which no equation
// was published and nobody knows who does what; elsewhere both are that of VO2. wide tells which it is.
func VO2Range(r units.Rate, t class.Target) (low, high float64, wide bool, gap Gap) {
	vo2, gap := VO2(r, t)
	if gap != gapBetween {
		return vo2, vo2, false, gap
	}
	speed, grade := r.MetresPerMinute(), float64(t.Incline)/1000
	walking, running := Walking(speed, grade), Running(speed, grade)
	return min(walking, running), max(walking, running), true, ""
}

// Climb is the height gained on a belt that runs so far at an incline in tenths
// of a percent: 5 % rises 5 m in 100 m of floor, which is 100.125 m of belt.
// Downhill gains nothing.
func Climb(belt units.Millimetres, incline int64) units.Millimetres {
	if incline <= 0 {
		return 0
	}
	grade := float64(incline) / 1000
	return units.Millimetres(math.Round(float64(belt) * grade / math.Sqrt(1+grade*grade)))
}
