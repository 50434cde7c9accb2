"""The places of the app and the pages opened over them, in one table.

To add a page: write `name.py` with a class made from `surveyapp.ui.screens.page.Page` and
`name.kv` beside it, and enter it here; `router.push("name", ...)` then opens it.
"""

HOME = "stop"
PLAN = "plan"
PLACES = ("stop", "plan", "day", "book")
SCREENS = {
    "stop": "surveyapp.ui.screens.stop:StopPage",
    "plan": "surveyapp.ui.screens.plan:PlanPage",
    "day": "surveyapp.ui.screens.day:DayPage",
    "book": "surveyapp.ui.screens.book:BookPage",
    "section": "surveyapp.ui.screens.section:SectionPage",
    "site": "surveyapp.ui.screens.site:SitePage",
    "survey": "surveyapp.ui.screens.survey:SurveyPage",
    "review": "surveyapp.ui.screens.review:ReviewPage",
    "doubts": "surveyapp.ui.screens.doubts:DoubtsPage",
    "measured": "surveyapp.ui.screens.measured:MeasuredPage",
    "arrange": "surveyapp.ui.screens.arrange:ArrangePage",
    "compare": "surveyapp.ui.screens.compare:ComparePage",
    "photos": "surveyapp.ui.screens.photos:PhotosPage",
    "first_run": "surveyapp.ui.screens.first_run:FirstRunPage",
    "cautions": "surveyapp.ui.screens.cautions:CautionsPage",
}
