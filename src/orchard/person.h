// SPDX-License-Identifier: Apache-2.0
//
// Who works on the farm. A role chooses a first screen; it locks nobody out of looking.
#pragma once

#include <string>

namespace nthtree::orchard {

enum class Role { pruner, lead, manager };

struct Person {
  std::string id;  // short and stable, written into records in place of the name
  std::string name;
  Role role = Role::pruner;
  bool active = true;  // false once somebody has left; what they counted stays
  std::string gang;    // those who are sent to one place together; empty: on their own
  friend bool operator==(const Person&, const Person&) = default;
};

}  // namespace nthtree::orchard
