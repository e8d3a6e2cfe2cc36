// Package effort estimates what a class asks of a body: oxygen uptake, METs and
// kilocalories, and the distance and climb that go with them.
//
// The estimates are the metabolic equations of the ACSM, each used only where it
// was published for; elsewhere there is no estimate, and the reason is told. They
// are means over many people of many kinds, on a belt, in steady state: a body in
// an interval of 30 s is not there yet, and a hand on the rail takes much of the
// work away. They are shown as estimates and prescribe nothing.
//
// Conventions, where published sheets differ (testdata/reference/README.md, 8):
// a mile is 1609.344 m, so that a mile an hour is 26.8224 m/min, not 26.8; a litre
// of oxygen is 5 kcal; all of it is gross, with the 3.5 mL that rest takes.
package effort
