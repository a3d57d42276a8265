// SPDX-License-Identifier: Apache-2.0
//
// What each person sees: one function of the season and the session. It draws through the widget
// frame and gives back what the person wants done; it never writes, stores or sends.
//
// AdviceCache keeps what advice/ worked out until the season changes; it is a cache and nothing
// else, and may be thrown away at any time.
//
//   AdviceCache cache;
//   Intents intents = draw(ui, season, session, cache);
#pragma once

#include "ledger/season.h"
#include "screens/intents.h"
#include "screens/session.h"

namespace nthtree::widgets {
class Ui;
}

namespace nthtree::screens {

class AdviceCache;  // advice_cache.h

// Draws the screen at session.here(), its head and foot. Safe for any season and any session:
// an unknown block or person leads to the screen where one is chosen.
Intents draw(widgets::Ui& ui, const ledger::Season& season, const Session& session,
             AdviceCache& cache);

}  // namespace nthtree::screens
