package main

import (
	"github.com/spf13/cobra"
)

func newCheck() *cobra.Command {
	var r reporting
	var remember remembering
	var dates dating
	cmd := &cobra.Command{
		Use:   "check [DIR]",
		Short: "Say what is wrong with a library, and where",
		Long: `Check reads every .proc file under DIR (the current folder where none is named)
and says everything that can be known to be wrong: names that do not exist,
tools left on, limits with gaps, work on live parts, text that names another
part than the step handles, trials that do not hold. It writes no documents.

With --date, instruments of the sources whose calibration is overdue on that day
are warned of. --strict lets a warning about the sources fail; a calibration that is
overdue fails with --overdue only.

Each message has a code: benchproof explain CODE says more.`,
		Example: "  benchproof check\n  benchproof check my-library --strict\n  benchproof check my-library --format sarif > report.sarif",
		Args:    atMostOneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := r.valid(); err != nil {
				return err
			}
			day, err := dates.day()
			if err != nil {
				return err
			}
			dir := folder(args)
			m, err := openMemory(dir, remember)
			if err != nil {
				return err
			}
			defer m.close()
			m.date = day
			result, err := m.check(cmd.Context(), dir)
			if err != nil {
				return err
			}
			if remember.counts {
				m.say(cmd.ErrOrStderr(), len(result.Library.Procedures))
			}
			return r.report(cmd, dir, result.Messages)
		},
	}
	r.flags(cmd.Flags())
	remember.flags(cmd.Flags())
	dates.flags(cmd.Flags(), &r)
	return cmd
}
