package newel

import "slices"

// Capacity is a function that an account has in its clinic. An account may have
// several. (A learner's part in an activity is an ActivityRole.)
type Capacity string

// The capacities, in the order of the permission matrix.
const (
	Administrator Capacity = "administrator" // accounts, consent, retention, backups
	Lead          Capacity = "lead"          // senior supervisor: every family of the clinic
	Supervisor    Capacity = "supervisor"    // qualified; the families on their caseload
	Trainee       Capacity = "trainee"       // drafts, needs sign-off; the families on their caseload
	Office        Capacity = "office"        // contacts and consents, no clinical notes
	Caregiver     Capacity = "caregiver"     // teaches at home; their own family
)

// Capacities lists every capacity, in the order of the matrix.
var Capacities = []Capacity{Administrator, Lead, Supervisor, Trainee, Office, Caregiver}

// Permission is one kind of action that a person may take.
type Permission string

// The permissions. The matrix below defines which capacities have them.
const (
	SeeCaseload      Permission = "see caseload"
	SeeFamilies      Permission = "see families"      // names and contacts
	SeeLearner       Permission = "see learner"       // programs, sessions, readings
	ManageAccounts   Permission = "manage accounts"   // staff accounts and set-up links
	ManageFamilies   Permission = "manage families"   // add families, learners and people
	InviteCaregiver  Permission = "invite caregiver"  // links that bind a phone
	RecordConsent    Permission = "record consent"    // given or withdrawn, with date and person
	DescribeCare     Permission = "describe care"     // alerts, stop signs, permitted help
	SeeLibrary       Permission = "see library"       // programs and their versions
	DraftProgram     Permission = "draft program"     // write and change drafts
	PublishProgram   Permission = "publish program"   // sign off a version
	AssignProgram    Permission = "assign program"    // assign a program to a learner
	TrainCaregiver   Permission = "train caregiver"   // record how far a caregiver has progressed in training
	Decide           Permission = "decide"            // advance, step back, continue and so on
	RecordSession    Permission = "record session"    // create and send recordings
	AmendSession     Permission = "amend session"     // correct a closed recording, with a reason
	SettleQuarantine Permission = "settle quarantine" // accept or set aside sessions to check
	TeachToday       Permission = "teach today"       // the caregiver's own pages
	SeeProgress      Permission = "see progress"      // graph and decisions of one assignment
	ManageClinic     Permission = "manage clinic"     // clinic name, retention, backup status
	KeepSignIn       Permission = "keep sign-in"      // change one's own password
)

// matrix maps permissions to the capacities that have them. The tests of every
// route are generated from it.
var matrix = map[Permission][]Capacity{
	SeeCaseload:      {Lead, Supervisor, Trainee},
	SeeFamilies:      {Administrator, Lead, Supervisor, Trainee, Office},
	SeeLearner:       {Lead, Supervisor, Trainee},
	ManageAccounts:   {Administrator},
	ManageFamilies:   {Administrator, Lead, Supervisor, Office},
	InviteCaregiver:  {Administrator, Lead, Supervisor, Office},
	RecordConsent:    {Administrator, Lead, Supervisor, Office},
	DescribeCare:     {Lead, Supervisor},
	SeeLibrary:       {Lead, Supervisor, Trainee},
	DraftProgram:     {Lead, Supervisor, Trainee},
	PublishProgram:   {Lead, Supervisor},
	AssignProgram:    {Lead, Supervisor},
	TrainCaregiver:   {Lead, Supervisor},
	Decide:           {Lead, Supervisor},
	RecordSession:    {Lead, Supervisor, Caregiver},
	AmendSession:     {Lead, Supervisor},
	SettleQuarantine: {Lead, Supervisor},
	TeachToday:       {Caregiver},
	SeeProgress:      {Lead, Supervisor, Trainee, Caregiver},
	ManageClinic:     {Administrator},
	KeepSignIn:       {Administrator, Lead, Supervisor, Trainee, Office},
}

// Allows reports whether the capacity by itself grants a permission.
func (c Capacity) Allows(p Permission) bool { return slices.Contains(matrix[p], c) }

// Known reports whether c is a valid capacity.
func (c Capacity) Known() bool { return slices.Contains(Capacities, c) }

// IsStaff reports whether the capacity is one of clinic staff.
func (c Capacity) IsStaff() bool { return c != Caregiver && c.Known() }

// reachesClinic reports whether the capacity reaches every family of the clinic
// (permissions determine what it sees of them).
func (c Capacity) reachesClinic() bool {
	return c == Administrator || c == Lead || c == Office
}
