package window

// modifierName is what the usual modifier is called here.
const modifierName = "Cmd"
