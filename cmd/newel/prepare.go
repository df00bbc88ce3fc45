package main

import (
	"context"
	"fmt"
	"net/url"

	"newel/internal/app"
	"newel/internal/httpd"
)

// prepare gets the clinic ready and prints where to start: the first
// administrator's link, or the links of the invented clinic.
func prepare(ctx context.Context, std stdio, application *app.App, base *url.URL, invented bool) (*httpd.Demo, error) {
	if invented {
		return prepareDemo(ctx, std, application, base)
	}
	link, created, err := application.FirstRun(ctx)
	if err != nil {
		return nil, err
	}
	fmt.Fprintf(std.out, "\nNewel is running at %s\n", base)
	if created {
		fmt.Fprintf(std.out, "\nNo one can sign in yet. Open this link to set up the clinic; it works once, within seven days:\n\n  %s\n\n", base.JoinPath(link))
	}
	return nil, nil
}
