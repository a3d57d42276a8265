// SPDX-License-Identifier: Apache-2.0
// Everything a screen needs, in one line: frame, controls, reading, charts, languages.
#pragma once

#include "widgets/charts.h"        // IWYU pragma: export
#include "widgets/controls.h"      // IWYU pragma: export
#include "widgets/language.h"      // IWYU pragma: export
#include "widgets/reading.h"       // IWYU pragma: export
#include "widgets/screen_frame.h"  // IWYU pragma: export
#include "widgets/ui.h"            // IWYU pragma: export
