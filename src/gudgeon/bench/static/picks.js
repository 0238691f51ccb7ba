import "./write.js";
import "./refresh.js";
