// Package worker does what nobody waits for: dumps on schedule, reading again
// what could not be read, clearing out what has expired. Each task calls one
// method and may run in several processes at once.
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

// Run does the tasks, each in turn with itself and independent of the others,
// until ctx ends; then it waits for those under way. A task that fails or
// panics is logged and tried again at its next time.
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
