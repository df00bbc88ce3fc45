package newel

// WeekSession is one session of a learner's last days, with what words and
// marks are made of.
type WeekSession struct {
	SessionRow
	AssignmentID AssignmentID
	Criterion    string   // canonical, of its stay
	HelpLevels   []string // of its version, from least to most help
	Role         string
	StepLabel    string
	StepName     string
}
