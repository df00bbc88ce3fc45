package newel

import "slices"

// Actor is the account on whose behalf something is done, as found when the
// request was authenticated.
type Actor struct {
	Clinic     ClinicID
	Account    AccountID
	Name       string
	Capacities []Capacity
	Families   []FamilyID // on the caseload, or the caregiver's own
	Device     DeviceID   // the bound phone, zero for a password sign-in
}

// Can reports whether any of the actor's capacities gives the permission.
func (a Actor) Can(p Permission) bool {
	return slices.ContainsFunc(a.Capacities, func(c Capacity) bool { return c.Allows(p) })
}

// Require gives ErrForbidden unless the actor has the permission.
func (a Actor) Require(p Permission) error {
	if !a.Can(p) {
		return ErrForbidden
	}
	return nil
}

// IsStaff reports whether the actor belongs to the clinic's own people.
func (a Actor) IsStaff() bool { return slices.ContainsFunc(a.Capacities, Capacity.IsStaff) }

// Scope is what the actor's transactions may see at all when this permission
// is used. Only the capacities that give the permission count: who works in
// the office and also supervises some families has contacts everywhere, and
// clinical notes on the caseload alone.
func (a Actor) Scope(p Permission) Scope {
	s := Scope{Clinic: a.Clinic, Account: a.Account, Families: a.Families}
	for _, c := range a.Capacities {
		if c.Allows(p) {
			s.Staff = s.Staff || c.IsStaff()
			s.WholeClinic = s.WholeClinic || c.reachesClinic()
		}
	}
	return s
}

// Scope bounds a database transaction: one clinic, and in it either every
// family or the listed ones. Row-level security and the conditions of each
// statement both read it.
type Scope struct {
	Clinic      ClinicID
	Account     AccountID
	Staff       bool // the clinic's own people: programs, accounts, audit
	WholeClinic bool
	Families    []FamilyID
}

// Covers reports whether the family lies in the scope.
func (s Scope) Covers(f FamilyID) bool {
	return s.WholeClinic || slices.Contains(s.Families, f)
}
