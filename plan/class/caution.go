package class

import "slices"

// cautions are shown wherever a class is: on a moving belt people can get hurt.
// Sources: testdata/reference/running/safety_screening.csv (PAR-Q+ 2023,
// treadmill safety pages) and testdata/reference/listening/guidance.csv.
var cautions = []string{
	"Before hard exercise answer a health questionnaire such as the PAR-Q+, and ask a professional where it says so.",
	"Wear the safety clip. When unsure, hold the rails and step to the sides. The belt takes seconds to follow the keys.",
	"Keep the sound low enough to hear the room: headphones and speakers under 80 dB on average.",
	"The treadmill maker's instructions, local rules and qualified professionals come first.",
}

// musicCaution stands with the others where a class has music.
const musicCaution = "Playing music to a class needs a licence in many places: ask what holds where you are."

// Cautions are what is shown with the class.
func (c *Class) Cautions() []string {
	if c.Plan.Bed.File.Pos.IsSet() {
		return append(slices.Clone(cautions), musicCaution)
	}
	return cautions
}
