// Photos and the live camera: pictures are shrunk here where that helps, and read by the shop's computer.
"use strict";
