// SPDX-License-Identifier: Apache-2.0
//
// What the screens of joined phones say in the same words: whose a phone is, when it was heard, why
// the hub does not answer; and the fields that say whose it is and what it may do.
//
// Private to this folder.
#pragma once

#include <string>

#include "screens/parts/form.h"
#include "screens/parts/frame.h"

namespace nthtree::screens {

std::string phone_name(const JoinedPhone& phone);
std::string phone_holder(const ledger::Season& season, const JoinedPhone& phone);
std::string phone_heard(const JoinedPhone& phone, std::int64_t now_ms);

// Why nothing is listed or changed, and what to do; nothing where the hub answered.
void phones_trouble(Frame& frame);

// Whose phone it is, as a list of names; empty: shared.
std::string holder_field(Frame& frame, Form& form, const std::string& id,
                         const std::string& person);
orchard::Role role_field(Form& form, const std::string& id, orchard::Role role);

}  // namespace nthtree::screens
