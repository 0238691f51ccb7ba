// Departures, and taking them back: entries made by forms.
import "./forms.js";
