// SPDX-License-Identifier: Apache-2.0
//
// Tomorrow's gangs as the manager left them: the proposal, and what was changed of it by hand. The
// change lives in session.fields, so that the morning's word speaks of the same plan.
//
// Private to this folder.
#pragma once

#include <string>

#include "advice/next/tomorrow.h"
#include "screens/parts/frame.h"

namespace nthtree::screens {

// The plan that stands: the proposal, or what comes of the gangs sent elsewhere.
const advice::Tomorrow& tomorrow_of(Frame& frame);
bool is_sent_elsewhere(const Frame& frame);
std::string sent_field(const advice::Gang& gang);  // holds the block it is sent to; empty: proposed

// The gang's name; of people without one, where they are.
std::string gang_text(const ledger::Season& season, const advice::Gang& gang);

}  // namespace nthtree::screens
