package quantities

// KitPaperwork is whether the documents go with the kit.
type KitPaperwork struct{}

// paperwork compares the documents with the kit.
func (f *Kit) paperwork() {}
