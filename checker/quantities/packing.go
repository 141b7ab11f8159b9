package quantities

// BundlePacking is how the tubes of a bundle fill its conduit.
type BundlePacking struct{}

// bundling packs the tubes of every bundle.
func (f *Kit) bundling() {}
