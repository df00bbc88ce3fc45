package demo

import (
	"context"
	"embed"
	"fmt"

	"newel/internal/app"
)

// pictures were drawn for the invented clinic.
//
//go:embed pictures/*.png
var pictures embed.FS

// packed lists the pictures of the things that go into the swimming bag: the
// file by the target of its first step.
var packed = []struct{ target, file, alt string }{
	{"s1x1", "bag", "a swimming bag"},
	{"s1x2", "swimwear", "swimming shorts"},
	{"s1x3", "towel", "a rolled-up towel"},
	{"s1x4", "goggles", "swimming goggles"},
	{"s1x5", "bottle", "a water bottle"},
	{"s1x6", "clothes", "a T-shirt"},
	{"s1x7", "socks", "a pair of socks"},
	{"s1x8", "zip", "a zip that is nearly closed"},
}

// illustrate adds the pictures to their targets, on every step that has them.
func (s *seeder) illustrate(ctx context.Context, location string) error {
	id, _, err := s.begun(ctx, s.lead, location)
	if err != nil {
		return err
	}
	for _, p := range packed {
		body, err := pictures.ReadFile("pictures/" + p.file + ".png")
		if err != nil {
			return err
		}
		in := app.PictureInput{Step: "s1", Target: p.target, Body: body, Alt: p.alt, Everywhere: true}
		if _, err := s.app.AddPicture(ctx, s.lead, app.NewForm(), id, in); err != nil {
			return fmt.Errorf("picture %s: %w", p.file, err)
		}
	}
	return nil
}
