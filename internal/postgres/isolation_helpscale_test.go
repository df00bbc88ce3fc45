package postgres_test

import (
	"context"

	"newel/internal/newel"
	"newel/internal/pgtest/tenants"
	"newel/internal/postgres"
	"newel/internal/program"
)

var someLevels = []program.HelpLevel{{Name: "point"}}

var helpScaleDeeds = map[string][]deed{
	"HelpScales": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.HelpScales(ctx)
	}}},
	"HelpScale": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.HelpScale(ctx, v.HelpScale)
	}}},
	"AddHelpScale": {{of: theStaff, adds: addsOwn, call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return nil, tx.AddHelpScale(ctx, program.HelpScale{ID: fresh[newel.HelpScaleID](), Name: "New", Levels: someLevels})
	}}},
	"ChangeHelpScale": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.ChangeHelpScale(ctx, program.HelpScale{ID: v.HelpScale, Name: "Taken", Levels: someLevels})
	}}},
	"ArchiveHelpScale": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.ArchiveHelpScale(ctx, v.HelpScale, true)
	}}},
}
