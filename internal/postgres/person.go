package postgres

import (
	"context"

	"newel/internal/newel"
)

const personColumns = `select p.id, p.family_id, p.name, p.account_id as account from person p where $in(p)`

// AddPerson adds a person to a family.
func (tx *Tx) AddPerson(ctx context.Context, p newel.Person) (err error) {
	defer wrap(&err, "add person %s", p.ID)
	if err := tx.covers(p.FamilyID); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into person (clinic_id, family_id, id, name)
		values (@scope_clinic, @family, @id, @name)`, args{"family": p.FamilyID, "id": p.ID, "name": p.Name})
}

// Person returns one person of a family.
func (tx *Tx) Person(ctx context.Context, id newel.PersonID) (_ newel.Person, err error) {
	defer wrap(&err, "person %s", id)
	return one[newel.Person](ctx, tx, personColumns+` and p.id = @id`, args{"id": id})
}

// PersonForUpdate is Person, and locks the person until the transaction ends.
func (tx *Tx) PersonForUpdate(ctx context.Context, id newel.PersonID) (_ newel.Person, err error) {
	defer wrap(&err, "person for update %s", id)
	return one[newel.Person](ctx, tx, personColumns+` and p.id = @id for update`, args{"id": id})
}

// People lists the people of a family in the order they were added.
func (tx *Tx) People(ctx context.Context, family newel.FamilyID) (_ []newel.Person, err error) {
	defer wrap(&err, "people of %s", family)
	return many[newel.Person](ctx, tx, personColumns+` and p.family_id = @family order by p.created_at, p.id`, args{"family": family})
}

// RenamePerson stores a person's new name.
func (tx *Tx) RenamePerson(ctx context.Context, id newel.PersonID, name string) (err error) {
	defer wrap(&err, "rename person %s", id)
	return tx.exec(ctx, `update person p set name = @name where $in(p) and id = @id`, args{"id": id, "name": name})
}

// TiePerson sets the account that a person signs in with.
func (tx *Tx) TiePerson(ctx context.Context, id newel.PersonID, account newel.AccountID) (err error) {
	defer wrap(&err, "tie person %s", id)
	return tx.exec(ctx, `update person p set account_id = @account where $in(p) and id = @id and account_id is null`,
		args{"id": id, "account": account})
}
