from django.apps import AppConfig


class QuotesConfig(AppConfig):
    name = "quotes"
    label = "quotes"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Tell the plan editor, which knows no price books, what prices a floor, and how quotes are found."""
        from framing.projects.draw_price import tell_pricer
        from quotes import find, lists
        from quotes.draw_prices import price_drawn  # models are there only now

        tell_pricer(price_drawn)
        find.register()
        lists.register()
