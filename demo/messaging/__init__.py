"""A messaging server for trying the bot without the world: the public bot API on a loopback address.

`MessagingServer` is the way in; `server.people` acts for the people, `server.faults` brings trouble, `server.record`
tells what really arrived.
"""

from demo.messaging.clock import ServerClock
from demo.messaging.errors import PeopleError
from demo.messaging.faults import Fault
from demo.messaging.limits import Limits
from demo.messaging.people import People
from demo.messaging.person import Person
from demo.messaging.seen import Group
from demo.messaging.server import MessagingServer
from demo.messaging.views import MessageView

__all__ = [
    "Fault",
    "Group",
    "Limits",
    "MessageView",
    "MessagingServer",
    "People",
    "PeopleError",
    "Person",
    "ServerClock",
]
