// Package worker runs background tasks: scheduled dumps, retries of failed
// evaluations, and removal of expired data. Each task calls one method and may
// run in several processes at once.
package worker

import (
	"context"
	"fmt"
	"log/slog"
	"runtime/debug"
	"sync"
	"time"
)

// Task is one kind of background work.
type Task struct {
	Name  string
	First time.Duration // from the start to the first run
	Every time.Duration // from the end of one run to the next
	Do    func(context.Context) error
}

// Run runs the tasks independently of each other, each with at most one run at
// a time, until ctx ends. Then it waits for running tasks. A task that fails or
// panics is logged and runs again at its next time.
func Run(ctx context.Context, log *slog.Logger, tasks ...Task) {
	var wg sync.WaitGroup
	for _, task := range tasks {
		wg.Go(func() { repeat(ctx, log, task) })
	}
	wg.Wait()
}

func repeat(ctx context.Context, log *slog.Logger, task Task) {
	timer := time.NewTimer(task.First)
	defer timer.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-timer.C:
		}
		if err := attempt(ctx, task); err != nil && ctx.Err() == nil {
			log.ErrorContext(ctx, "background task failed", "task", task.Name, "error", err)
		}
		timer.Reset(task.Every)
	}
}

func attempt(ctx context.Context, task Task) (err error) {
	defer func() {
		if v := recover(); v != nil {
			err = fmt.Errorf("panic: %v\n%s", v, debug.Stack())
		}
	}()
	return task.Do(ctx)
}
