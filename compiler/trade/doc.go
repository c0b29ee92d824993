// Package trade holds the published data of the workshop (threads, tapping
// drills, depths of blind holes, fasteners and their torques, fits, cutting
// speeds, safety signs and signal words) and the computations on them.
//
// Input are names as a drawing or a catalogue writes them (M8x1, 8.8, k6, W012)
// and exact numbers. Output are exact numbers in the unit that each function
// states: mm, N.m, kN, MPa, 1/min, degC. No value goes through a binary float,
// and equal input gives equal output.
//
// The tables are embedded CSV files; the first lines of each name the standard
// and table, and say whether the values were looked up or are from memory.
// Where a standard tabulates a value, the table is used; the formula behind it
// only checks the table in the tests. What a table does not have is an error
// that says what there is, never a guess.
//
// The results are aids: documents defer to the standards themselves, to local
// rules and to the maker's instructions.
package trade
