package value

// Audience is who a class is for.
type Audience string

// Beginners are advised more carefully than others.
const Beginners Audience = "beginners"

// Gait is how a target is run, where its speed leaves that open.
type Gait string

// The gaits.
const (
	Walk Gait = "walk"
	Run  Gait = "run"
)

// Role is what a segment is for.
type Role string

// The roles.
const (
	Work     Role = "work"
	Recovery Role = "recovery"
	Easy     Role = "easy"
	Floor    Role = "floor" // off the belt
)
