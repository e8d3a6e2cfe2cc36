package problem

// Kind names what is wrong, or the check that found it. Each is a constant of the room
// that finds it and stands in [Kinds].
type Kind string

// What is wrong with a file as it is written, or recorded.
const (
	Plan      Kind = "plan"
	Voice     Kind = "voice"
	List      Kind = "list"
	Bed       Kind = "bed"
	Recording Kind = "recording"
)

// fileKinds go without saying in a line that names the file.
var fileKinds = []Kind{Plan, Voice, List}

// Kinds are all kinds of problems with what each means, in the order in which a class is
// made: its files, its numbers, its calls as they are heard.
var Kinds = []struct {
	Kind  Kind
	Means string
}{
	{Plan, "the plan is not one that can be read"},
	{Voice, "voice.yaml, or the folder of recordings, cannot be read"},
	{List, "the edited list of calls is not one that can be read"},
	{Bed, "the file of music cannot be read"},
	{Recording, "a recording has a fault that would be heard"},
	{"setting", "the level, the unit, the step or the cadence asked for do not fit the plan"},
	{"wrong-length", "the segments do not add up to the length promised"},
	{"no-warm-up", "the warm-up is missing or short"},
	{"no-cool-down", "the cool-down is missing or short"},
	{"steep-change", "speed or incline change much at once"},
	{"role-unsure", "what a segment is for is guessed, and by little"},
	{"hard-recovery", "the recovery is harder than the work around it"},
	{"out-of-range", "a target is beyond what the treadmills do"},
	{"hard-for-beginners", "much of a class for beginners is very hard"},
	{"unrecorded", "a text that must be said has no recording"},
	{"left-out", "a call has no room, or no recording, and is not made"},
	{"unsaid-name", "the name of an effort has no recording and is not called"},
	{"overlap", "two sounds share time"},
	{"crowded", "two sentences have no pause between them"},
	{"cut-off", "a sentence runs across a change, or out of the track"},
	{"unwarned", "a change is not warned of before its count"},
	{"unconfirmed", "the numbers of a change are not heard right after it"},
	{"late", "a change is warned of late"},
	{"uncounted", "a change is not counted down"},
	{"untrue", "what is said is not so at that time"},
	{"gap", "nothing is said for long"},
}
