// SPDX-License-Identifier: Apache-2.0
//
// Whose service answers, where one process serves many farms: the farm is the name in the address
// that was asked for. A name of its own gives each farm an origin of its own in browsers, so that
// no page, store or service worker of one farm is another's, and it stands in every request before
// any key does.
//
// Each service has a writer, a store and keys of its own: nothing here is shared but the door.
// Filled before the server listens, and not changed after.
//
//   Farms farms;
//   farms.add("north", "north.example.org", service);
//   if (Service* service = farms.of(head)) …
#pragma once

#include <map>
#include <string>

#include "hub/service.h"

namespace nthtree::hub {

class Farms {
 public:
  Farms() = default;
  explicit Farms(Service& only) : first_(&only) {}  // whatever name is asked for

  // `host`: small letters, without a port.
  void add(const std::string& farm, const std::string& host, Service& service);
  // Null where the name is no farm's. At a monitor's door /metrics?farm=NAME says which.
  Service* of(const HttpRequest& head) const;
  // For what is no request, and for refusals: says nothing of any farm.
  Service& first() const { return *first_; }

 private:
  Service* first_ = nullptr;
  std::map<std::string, Service*> by_host_, by_farm_;
};

}  // namespace nthtree::hub
