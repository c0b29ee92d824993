package message

func SeverityOf(Code) Severity { return Error }
