package main

import (
	"errors"
	"fmt"
	"time"

	"github.com/spf13/pflag"
)

// dating is the option of commands that judge calibration.
type dating struct {
	date    string
	overdue *bool
}

func (d *dating) flags(f *pflag.FlagSet, r *reporting) {
	d.overdue = &r.overdue
	f.BoolVar(&r.overdue, "overdue", false, "with --date: let a calibration that is overdue fail, too")
	f.StringVar(&d.date, "date", "", "judge calibration on this `day`, as 2026-11-25, or today; without it nothing is overdue")
}

// day gives the day stated. The clock is asked only where the command says so, so
// that equal commands on equal sources find the same.
func (d *dating) day() (string, error) {
	switch d.date {
	case "":
		if *d.overdue {
			return "", errors.New("--overdue: expected --date beside it")
		}
		return "", nil
	case "today":
		return time.Now().Format(time.DateOnly), nil
	}
	if _, err := time.Parse(time.DateOnly, d.date); err != nil {
		return "", fmt.Errorf("--date %s: expected a day such as 2026-11-25, or today", d.date)
	}
	return d.date, nil
}
