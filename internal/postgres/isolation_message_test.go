package postgres_test

import (
	"context"

	"newel/internal/newel"
	"newel/internal/pgtest/tenants"
	"newel/internal/postgres"
)

// messageDeeds are the store's methods about messages between families and the
// clinic.
var messageDeeds = map[string][]deed{
	"Write": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.Write(ctx, newel.Message{ID: fresh[newel.MessageID](), FamilyID: v.ID, Text: "taken"})
	}}},
	"Messages": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Messages(ctx, v.ID, 10)
	}}},
	"MarkMessagesRead": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return tx.MarkMessagesRead(ctx, v.ID, v.ToFamily)
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return tx.MarkMessagesRead(ctx, own.ID, v.ToFamily)
		}},
	},
}
