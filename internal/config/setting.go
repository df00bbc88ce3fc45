package config

import (
	"fmt"
	"reflect"
	"strconv"
	"time"
)

// setting describes one field of Config from its tags.
type setting struct {
	index                      int
	flag, env, def, shown, doc string
	secret                     bool
}

func settings() []setting {
	t := reflect.TypeFor[Config]()
	out := make([]setting, 0, t.NumField())
	for i := range t.NumField() {
		tag := t.Field(i).Tag
		out = append(out, setting{
			index: i, flag: tag.Get("flag"), env: tag.Get("env"), def: tag.Get("default"),
			shown: tag.Get("shown"), doc: tag.Get("help"), secret: tag.Get("secret") == "true",
		})
	}
	return out
}

func (s setting) usage() string {
	return fmt.Sprintf("%s (environment: %s; default: %s)", s.doc, s.env, s.defaultText())
}

func (s setting) defaultText() string {
	if s.def != "" {
		return s.def
	}
	return s.shown
}

func (s setting) set(c *Config, value string) error {
	field := reflect.ValueOf(c).Elem().Field(s.index)
	switch field.Interface().(type) {
	case string:
		field.SetString(value)
	case time.Duration:
		d, err := time.ParseDuration(value)
		if err != nil {
			return fmt.Errorf("%q is not a duration: write it like 24h or 90m", value)
		}
		field.SetInt(int64(d))
	case bool:
		on, err := strconv.ParseBool(value)
		if err != nil {
			return fmt.Errorf("%q is neither true nor false", value)
		}
		field.SetBool(on)
	case int:
		n, err := strconv.Atoi(value)
		if err != nil {
			return fmt.Errorf("%q is not a whole number", value)
		}
		field.SetInt(int64(n))
	default:
		return fmt.Errorf("a setting of type %s cannot be read", field.Type())
	}
	return nil
}

func (s setting) get(c *Config) string {
	return fmt.Sprint(reflect.ValueOf(c).Elem().Field(s.index).Interface())
}
