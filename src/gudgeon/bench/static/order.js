import "./refresh.js";
