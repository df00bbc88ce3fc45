package newel

// WeekSession is one session of a learner's last days, with the data for its
// words and marks.
type WeekSession struct {
	SessionRow
	AssignmentID AssignmentID
	Criterion    string   // canonical, of its placement
	HelpLevels   []string // of its version, from least to most help
	Role         string
	StepLabel    string
	StepName     string
}
