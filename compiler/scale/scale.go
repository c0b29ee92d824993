// Package scale makes libraries of any size, for what is measured and for
// what must hold whatever the size.
//
// Input: a number of procedures. Output: the sources of a library by path: one
// file of shared declarations and one file for each procedure, of some 250
// lines with its trials. The library is realistic (routines, tables by
// variant, guarded decisions, repeats, hazards with their proof) and checking
// it gives no message. Equal numbers give equal sources. Nothing but tests and
// benchmarks imports it.
package scale

import (
	_ "embed"
	"fmt"
	"strconv"
	"strings"
)

//go:embed bench.txt
var bench string

//go:embed job.txt
var job string

// Bench is the path of the shared declarations.
const Bench = "bench.proc"

// Path is the path of the i-th procedure's file, from 0.
func Path(i int) string { return "jobs/" + Name(i) + ".proc" }

// Name is the name of the i-th procedure, from 0.
func Name(i int) string { return fmt.Sprintf("job-%04d", i+1) }

// Generate makes a library of n procedures, n at least 1.
func Generate(n int) map[string]string {
	files := make(map[string]string, n+1)
	var shared strings.Builder
	shared.WriteString(bench)
	for i := range n {
		number := fmt.Sprintf("%04d", i+1)
		fmt.Fprintf(&shared, "part gasket-%s  \"gasket\"  { number \"P-7%s\"  detail \"machine %s\"  behind rotor  single-use }\n", number, number, number)
		files[Path(i)] = strings.NewReplacer(
			"{n}", number,
			"{hot}", strconv.Itoa(38+i%5),
			"{cool}", strconv.Itoa(10+i%11),
			"{nuts}", strconv.Itoa(4+i%2*2),
			"{warm}", strconv.Itoa(75+i%13),
			"{runout}", []string{"0.04", "0.05", "0.06"}[i%3],
			"{torque}", strconv.Itoa(16+i%4),
			"{run}", strconv.Itoa(5+i%7),
		).Replace(job)
	}
	files[Bench] = shared.String()
	return files
}
