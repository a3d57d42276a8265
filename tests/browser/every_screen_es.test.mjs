// SPDX-License-Identifier: Apache-2.0
// Every screen in Spanish; how is said in support/every_screen.mjs.
import { everyScreenIn } from "./support/every_screen.mjs";

export default everyScreenIn("es");
