package survey

func (x *book) ranges() {}
