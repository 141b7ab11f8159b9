package kit

// Most is how many items a list may have, by its key.
var Most = most

// MostCompared is how many names are compared with misspelt ones.
const MostCompared = mostCompared
