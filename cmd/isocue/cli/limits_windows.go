package cli

func ordinary() {}
