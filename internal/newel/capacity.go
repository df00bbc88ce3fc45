package newel

import "slices"

// Capacity is what an account acts as in its clinic. An account may hold
// several. (The part that a learner takes in an activity is an ActivityRole.)
type Capacity string

// The capacities. Order is that of the permission matrix.
const (
	Administrator Capacity = "administrator" // accounts, consent, retention, back-ups
	Lead          Capacity = "lead"          // senior supervisor: every family of the clinic
	Supervisor    Capacity = "supervisor"    // qualified; the families on the caseload
	Trainee       Capacity = "trainee"       // drafts; needs sign-off; the families on the caseload
	Office        Capacity = "office"        // contacts and consents, no clinical notes
	Caregiver     Capacity = "caregiver"     // teaches at home; own family
)

// Capacities lists every capacity, in the order of the matrix.
var Capacities = []Capacity{Administrator, Lead, Supervisor, Trainee, Office, Caregiver}

// Permission is one kind of thing that a person may do.
type Permission string

// The permissions. Each says who needs it where; the matrix below says who
// has it.
const (
	SeeCaseload      Permission = "see caseload"
	SeeFamilies      Permission = "see families"      // names and contacts
	SeeLearner       Permission = "see learner"       // programs, sessions, readings
	ManageAccounts   Permission = "manage accounts"   // staff accounts and set-up links
	ManageFamilies   Permission = "manage families"   // add families, learners and people
	InviteCaregiver  Permission = "invite caregiver"  // links that bind a phone
	RecordConsent    Permission = "record consent"    // given and withdrawn, with date and person
	DescribeCare     Permission = "describe care"     // alerts, stop signs, help that is allowed
	SeeLibrary       Permission = "see library"       // programs and their versions
	DraftProgram     Permission = "draft program"     // write and change drafts
	PublishProgram   Permission = "publish program"   // sign a version off
	AssignProgram    Permission = "assign program"    // put a program on a learner
	TrainCaregiver   Permission = "train caregiver"   // say how far somebody has come with a program
	Decide           Permission = "decide"            // advance, step back, hold and the others
	RecordSession    Permission = "record session"    // make and send recordings
	AmendSession     Permission = "amend session"     // correct a closed recording, with reason
	SettleQuarantine Permission = "settle quarantine" // take in or set aside what waits
	TeachToday       Permission = "teach today"       // the caregiver's own pages
	SeeProgress      Permission = "see progress"      // graph and decisions of one assignment
	ManageClinic     Permission = "manage clinic"     // clinic name, retention, back-up state
	KeepSignIn       Permission = "keep sign-in"      // change the own password
)

// matrix says which capacities have a permission. It is data: the tests of
// every route are generated from it.
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

// Permissions lists every permission in a fixed order.
func Permissions() []Permission {
	ps := make([]Permission, 0, len(matrix))
	for p := range matrix {
		ps = append(ps, p)
	}
	slices.Sort(ps)
	return ps
}

// Allows reports whether a capacity alone gives a permission.
func (c Capacity) Allows(p Permission) bool { return slices.Contains(matrix[p], c) }

// Known reports whether c is a capacity at all.
func (c Capacity) Known() bool { return slices.Contains(Capacities, c) }

// IsStaff reports whether the capacity is one of the clinic's own people.
func (c Capacity) IsStaff() bool { return c != Caregiver && c.Known() }

// reachesClinic reports whether the capacity sees every family of the clinic
// (what it sees of them is a matter of permissions).
func (c Capacity) reachesClinic() bool {
	return c == Administrator || c == Lead || c == Office
}
