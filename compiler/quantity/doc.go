// Package quantity holds exact decimals, the closed list of units, ranges of
// readings, and what an instrument can show of them.
//
// Input is text (numbers, unit codes) or values built from it; output is
// numbers, quantities, ranges and verdicts about them. Nothing here is ever
// rounded unless a function says so: numbers are exact rationals, conversions
// between units are exact (where radians are concerned, with π to 40 digits),
// and every verdict about a decision is taken over the values that an
// instrument can really show. No function depends on the order of a map, and
// none changes a value it was given.
package quantity
