// SPDX-License-Identifier: Apache-2.0
//
// Whether this phone's date can be right, where no hub has said so: a farm without one, or not
// reached since the app was opened. Held against the day the program was made and against what the
// farm's phones wrote.
//
// Private to this folder. Not here: the hub's word, which rules where there is one
// (sync.clock_off_minutes), and other phones whose clocks run ahead (ledger/written_ahead.h).
//
//   if (clock_doubt(session, season) == ClockDoubt::behind) …
#pragma once

#include "ledger/season.h"
#include "screens/session.h"

namespace nthtree::screens {

enum class ClockDoubt {
  none,
  behind,   // certain: before the program was made, or before what three phones and more wrote
  is_it_so  // one or two phones wrote later, or nobody has written for most of a year
};

ClockDoubt clock_doubt(const Session& session, const ledger::Season& season);

}  // namespace nthtree::screens
