// SPDX-License-Identifier: Apache-2.0
//
// Where somebody stands in the app, and where each step leads: the one place that changes the
// session's stack. What belongs to the screen that is left (an open question, a filter, the camera)
// ends here too.
//
// Private to this folder: screens ask for steps with intents, the app tells what happened as news.
//
//   go_to(session, {ScreenId::sync});  go_back(session);
#pragma once

#include "ledger/season.h"
#include "screens/session.h"

namespace nthtree::screens {

void go_to(Session& session, const Stop& to);       // one deeper, unless it is here already
void go_instead(Session& session, const Stop& to);  // in place of the present screen
void go_home(Session& session);
void go_back(Session& session);  // an open question is answered with no first

// The stack to begin with once the records are read, or the person changed: welcome, who, block,
// home, and above it a count that was interrupted. Before they are all read nobody comes further
// than who they are.
std::vector<Stop> first_stack(const ledger::Season& season, const Session& session);
void begin_anew(Session& session, const ledger::Season& season);

// Who holds the phone from now on; what the one before has half done waits for them.
void hold_phone(Session& session, const ledger::Season& season, const std::string& person);
// Nobody holds it: whoever did is asked for their PIN first.
void lock_up(Session& session, const ledger::Season& season);

// Where a count is told once it is over, and the step there.
Stop stop_after(const CountDraft& draft);
void leave_count(Session& session, const CountDraft& ended);

// The step back from a form that was kept. Back on the verdict of a count that was corrected or
// taken back: it is told of another tree now, or there is nothing to tell.
void leave_form(Session& session, const ledger::Body& kept);

// The first records of a farm came in: from "join" to "who are you?". Where they came from another
// phone, below what is told about them. Elsewhere nobody is moved.
void meet_farm(Session& session, const ledger::Season& season);

}  // namespace nthtree::screens
