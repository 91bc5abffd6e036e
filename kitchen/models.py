"""Index of all models: Django finds them here, each room keeps its own."""

from kitchen.batches.models import Bag, Batch, BatchLot, BatchMeasured, Sealing
from kitchen.brining.models import Brine, BrineIn, BrineOut
from kitchen.chilling.models import ChillIn, ChillOut, ChillReading
from kitchen.cooking.models import BagIn, BagOut, BathLog, BathReading, CoreCheck, LogBreak
from kitchen.dayplan.models import DishWanted
from kitchen.equipment.models import Bath, Chiller, Fridge, Probe, ProbeCheck
from kitchen.feeds.models import LogFile
from kitchen.finishing.models import Finish, KeptForService, ServiceReading
from kitchen.larder.models import Lot, LotClosed, LotFrozen, LotThawed
from kitchen.ledger.models import Entry
from kitchen.methods.models import Approval, ApprovalPaper, Dish, Method
from kitchen.offline.models import SealKey
from kitchen.people.models import KeptRuleset, LimitChoice, Person, RegimeChange, SignInTry, Site, Tablet
from kitchen.plan.models import Competence, FlowConfirmed, PlanVersion
from kitchen.review.held import Arrival, Held
from kitchen.review.models import Assessed, CorrectiveAction, Disposition, SignedAssessment, SignOff
from kitchen.storing.models import FridgeReading, Stored

__all__ = [
    "Approval",
    "ApprovalPaper",
    "Arrival",
    "Assessed",
    "Bag",
    "BagIn",
    "BagOut",
    "Batch",
    "BatchLot",
    "BatchMeasured",
    "Bath",
    "BathLog",
    "BathReading",
    "Brine",
    "BrineIn",
    "BrineOut",
    "ChillIn",
    "ChillOut",
    "ChillReading",
    "Chiller",
    "Competence",
    "CoreCheck",
    "CorrectiveAction",
    "Dish",
    "DishWanted",
    "Disposition",
    "Entry",
    "Finish",
    "FlowConfirmed",
    "Fridge",
    "FridgeReading",
    "Held",
    "KeptForService",
    "KeptRuleset",
    "LimitChoice",
    "LogBreak",
    "LogFile",
    "Lot",
    "LotClosed",
    "LotFrozen",
    "LotThawed",
    "Method",
    "Person",
    "PlanVersion",
    "Probe",
    "ProbeCheck",
    "RegimeChange",
    "SealKey",
    "Sealing",
    "ServiceReading",
    "SignInTry",
    "SignOff",
    "SignedAssessment",
    "Site",
    "Stored",
    "Tablet",
]
