package document

// BoxID is the ID of a box of a step in a page and in the record that the page
// saves. Turn names the turn of the repeats around the step ("2", "2.1"); it is
// empty where there are none. The cells of a reading have "-1", "-2" … behind
// it, the line for the name beside a hold point "-name".
func (s *Step) BoxID(b Box, turn string) string {
	id := ""
	switch b := b.(type) {
	case *Tick:
		id = b.ID
	case *ReadingBox:
		id = s.ID + "-" + b.Reading.Name
	case *RoundBox:
		id = b.ID
	case *AnswerBox:
		id = s.ID + "-" + b.Name
	case *HoldBox:
		id = b.ID
	case *RecordBox:
		id = s.ID + "-" + b.Name
	case *WaitBox:
		id = b.ID
	case *StateBox:
		id = b.ID
	}
	if turn != "" {
		id += "-turn-" + turn
	}
	return id
}
